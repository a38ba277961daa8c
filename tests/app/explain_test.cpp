#include <doctest/doctest.h>

#include "app/words/action_words.hpp"
#include "core/profile/document.hpp"
#include "core/profile/fields.hpp"
#include "tests/app/rig.hpp"

namespace fettle::app::test {

TEST_CASE("explain: the volunteer's 12 inputs in 4 modes, a line for each, and what can be sent") {
    Rig rig;
    const Run ran = rig.run({"explain", demo_profile("volunteer")});
    CHECK(ran.exit == 0);
    CHECK(ran.err.empty());
    CHECK(count(ran.out, "\nMode ") == 4);
    CHECK(count(ran.out, "short press: ") == 48);
    CHECK(has(ran.out, "cheek          short press: releases everything\n"));
    CHECK(has(ran.out, "help           short press: types the text thanks: \"Thank you!\"\n"));
    CHECK(has(ran.out, "               long press: keeps the profile that is on trial\n"));
    CHECK(has(ran.out, "select         short press: types the character under the mark of the grid\n"));
    const std::string answer = rig.json({"explain", demo_profile("volunteer")});
    CHECK(count(answer, R"({"mode":)") == 48);
    CHECK(has(answer,
              R"x({"mode":"far","input":"up","does":["short press: moves the pointer up (motion far)"]})x"));
}

TEST_CASE("explain: the other two demo profiles, every mode and every input is named") {
    for (const char* name : {"one_switch", "stick_and_tube"}) {
        CAPTURE(name);
        const auto profile = profile::load_file(demo_profile(name)).value();
        Rig rig;
        const Run ran = rig.run({"explain", demo_profile(name)});
        CHECK(ran.exit == 0);
        for (const auto& mode : profile.modes) CHECK(has(ran.out, "\nMode " + mode.name + "\n"));
        for (const auto& input : profile.inputs)
            CHECK(count(ran.out, "\n  " + input.name + " ") == profile.modes.size() + 1);
    }
}

TEST_CASE("explain: everything that can be sent: each text, chord, consumer key and cell of the grid") {
    const auto profile = profile::load_file(demo_profile("volunteer")).value();
    std::string all;
    for (const auto& line : everything_it_can_send(profile)) all += line + "\n";
    CHECK(has(all, "\"Thank you!\""));
    CHECK(has(all, "presses volume down\n"));
    CHECK(has(all, "presses volume up\n"));
    CHECK(has(all, "types Up, again after 500 ms"));
    CHECK(has(all, "types Backspace\n"));
    CHECK(has(all, "latches Shift "));
    CHECK(has(all, "latches Control "));
    // The grid's 50 cells.
    const std::size_t grid = all.find("the character grid types any of: ");
    REQUIRE(grid != std::string::npos);
    const std::string cells = "  " + all.substr(grid + 33) + "  ";
    for (const auto& row : profile.grid.rows)
        for (const auto& cell : row) {
            if (const auto* text = std::get_if<std::string>(&cell))
                CHECK(has(cells, "  " + (*text == " " ? "Space" : *text) + "  "));
            if (const auto* stroke = std::get_if<profile::Stroke>(&cell))
                CHECK(has(cells, stroke_words(*stroke)));
        }
    CHECK(has(cells, "Control + Alt + Delete"));
}

TEST_CASE("explain: characters that a terminal would obey are shown, not sent: a text cannot hide itself") {
    Rig rig;
    const std::string path = rig.copy_of("volunteer");
    rig.put("volunteer.json", with(rig.content(path), "Thank you!", "rm\\u001b[2K\\u202etxt\\u0085\\u061c"));
    const Run ran = rig.run({"explain", path});
    CHECK(ran.exit == 0);
    CHECK(has(ran.out, "\"rm<U+001B>[2K<U+202E>txt<U+0085><U+061C>\""));
    CHECK_FALSE(has(ran.out, "\x1b"));
    const std::string json = rig.run({"explain", path, "--json"}).out;
    CHECK(has(json, "rm\\u001b[2K\\u202etxt\\u0085\\u061c"));
    CHECK_FALSE(has(json, "\xC2\x85"));  // U+0085 in UTF-8
    CHECK_FALSE(has(rig.run({"write", path}).err + rig.run({"check", path}).out, "\x1b"));
}

TEST_CASE("explain: a text that no press types is shown all the same, line breaks and keys as names") {
    profile::Profile profile;
    profile.texts.push_back({"greeting", {std::string("Hello\n"), profile::Stroke{0x08, 0x15}}});
    const auto lines = everything_it_can_send(profile);
    REQUIRE(lines.size() == 1);
    CHECK(lines[0] == "types the text greeting: \"Hello<Enter>\", then GUI + R");
}

TEST_CASE("explain: 18 kinds of action in all their 31 styles have words of their own") {
    using namespace profile;
    Profile p;
    p.repeats.push_back({"rows", 500, 200});
    p.texts.push_back({"thanks", {std::string("Thank you!")}});
    const std::vector<Action> all = {Chord{{0x01, 0x06}, ChordHold::tapped, ""},
                                     Chord{{0x01, 0x06}, ChordHold::held, ""},
                                     Chord{{0x01, 0x06}, ChordHold::repeated, "rows"},
                                     Latch{0x02, LatchStyle::latch_then_lock},
                                     Latch{0x02, LatchStyle::latch_only},
                                     Latch{0x02, LatchStyle::lock},
                                     Button{1, ButtonStyle::held},
                                     Button{1, ButtonStyle::click},
                                     Button{1, ButtonStyle::double_click},
                                     Drag{1},
                                     Move{Direction::up_left, "far"},
                                     Scroll{Direction::down, 2, ""},
                                     Scroll{Direction::down, 2, "rows"},
                                     ModeChange{ModeStyle::go_to, "near"},
                                     ModeChange{ModeStyle::next, ""},
                                     ModeChange{ModeStyle::while_held, "near"},
                                     Consumer{0xE9, false},
                                     Consumer{0xE9, true},
                                     TypeText{"thanks"},
                                     GridMove{Direction::left, ""},
                                     GridMove{Direction::left, "rows"},
                                     GridPick{},
                                     Jump{Direction::right, 100},
                                     Scale{ScaleStyle::while_held, 300},
                                     Scale{ScaleStyle::toggle, 300},
                                     ReleaseAll{},
                                     Keep{},
                                     Revert{},
                                     Extend{},
                                     VariantChange{VariantStyle::next, ""},
                                     VariantChange{VariantStyle::go_to, "tired"}};
    std::vector<std::string> seen;
    for (const Action& action : all) {
        const std::string words = action_words(action, p);
        CAPTURE(words);
        CHECK(words.size() > 8);
        CHECK_FALSE(has(words, "_"));
        for (const auto& other : seen) CHECK(other != words);
        seen.push_back(words);
    }
    CHECK(seen[0] == "types Control + C");
    CHECK(seen[2] == "types Control + C, again after 500 ms and then every 200 ms while held");
    CHECK(seen[10] == "moves the pointer up and left (motion far)");
    CHECK(seen[16] == "presses volume up");
    CHECK(seen[23] == "makes the pointer 0.3 times as fast as long as the press");
}

TEST_CASE(
    "explain: where an input listens is told for a remote, an unknown remote, a switch, a stick, a tube") {
    using namespace profile;
    CHECK(source_words(Infrared{Protocol::nec, 0x61, 0x18, 0, 0}) ==
          "remote: nec  address 0x61  command 0x18");
    CHECK(source_words(Infrared{Protocol::unknown, 0, 0, 0, 0x1234}) ==
          "remote: unknown  signature 00001234");
    CHECK(source_words(Switch{2, true}) == "switch on line 2, closed when low");
    CHECK(source_words(Switch{3, false}) == "switch on line 3, closed when high");
    CHECK(source_words(Axis{AxisName::pressure, AxisSide::negative, 300, 180}) ==
          "pressure (sip) from 30 %, until 18 %");
    CHECK(source_words(Axis{AxisName::stick_x, AxisSide::positive, 500, 350}) ==
          "stick sideways (+) from 50 %, until 35 %");
    CHECK(source_words(Untaught{}) == "not taught yet");
}
TEST_CASE("explain: without a file it asks for one and ends with 2") {
    Rig rig;
    const Run ran = rig.run({"explain"});
    CHECK(ran.exit == 2);
    CHECK(has(ran.err, "Which profile?"));
}

TEST_CASE("explain: --fields tells range, unit and default of every value that a profile may hold") {
    Rig rig;
    const Run ran = rig.run({"explain", "--fields"});
    CHECK(ran.exit == 0);
    CHECK(has(ran.out, "acceptance_ms"));
    CHECK(has(ran.out, "0 to 5000 ms"));
    const std::string answer = rig.json({"explain", "--fields"});
    CHECK(count(answer, R"("allowed":)") == profile::all_fields().size());
    CHECK(rig.run({"explain", "--fields", demo_profile("volunteer")}).exit == 2);
}

}  // namespace fettle::app::test
