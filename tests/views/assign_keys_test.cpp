// Keys by pressing, by name, by number; what the person's layout makes of them.
#include <doctest/doctest.h>

#include <set>

#include "app/views/assign_words.hpp"
#include "app/views/key_picker.hpp"
#include "core/profile/keys.hpp"
#include "tests/views/assign_rig.hpp"

namespace fettle::app::test {
namespace {

using namespace profile;

ui::KeyEvent pressed(std::uint8_t usage, bool control = false, bool is_down = true) {
    ui::KeyEvent event;
    event.key = ui::Key::other;
    event.usage = usage;
    event.control = control;
    event.is_down = is_down;
    return event;
}

void open_key(AssignRig& rig) {
    rig.open_cell("one", "d");
    AssignPlace place = rig.state.at;
    place.page = AssignPage::key;
    rig.state.key = {};
    rig.open(place);
}

}  // namespace

TEST_CASE("assign keys: Control and C pressed on the keyboard are caught as one stroke") {
    AssignRig rig(sound_profile());
    open_key(rig);
    REQUIRE(rig.bench.work("assign.key.catch"));
    rig.bench.input.keys = {pressed(0xE0, true), pressed(0x06, true), pressed(0x06, true, false),
                            pressed(0xE0, false, false)};
    rig.bench.settle();
    CHECK(rig.state.key.stroke == Stroke{0x01, 0x06});
    CHECK(rig.bench.find("assign.key.now")->value == "Control + C");
    REQUIRE(rig.bench.work("assign.key.use"));
    CHECK(rig.action("one", "d") == Action(Chord{{0x01, 0x06}, ChordHold::tapped, ""}));
}

TEST_CASE("assign keys: what a caught key is") {
    CHECK(caught_stroke(pressed(0xE6)) == Stroke{0x40, 0});  // right Alt alone
    CHECK(caught_stroke(pressed(0x04, true)) == Stroke{0x01, 0x04});
    CHECK_FALSE(caught_stroke(pressed(0)).has_value());
    CHECK_FALSE(caught_stroke(pressed(0x03)).has_value());
    CHECK_FALSE(caught_stroke(pressed(0xA5)).has_value());
}

TEST_CASE("assign keys: a usage number is hexadecimal, 04 to a4, with or without 0x") {
    CHECK(usage_number("0x4b", 0x04, 0xA4) == 0x4B);
    CHECK(usage_number("4B", 0x04, 0xA4) == 0x4B);
    for (const char* wrong : {"", "0x", "3", "a5", "4g", "-4", "100000"}) {
        CAPTURE(wrong);
        CHECK_FALSE(usage_number(wrong, 0x04, 0xA4).has_value());
    }
    AssignRig rig(sound_profile());
    open_key(rig);
    REQUIRE(rig.write("assign.key.number", "ff"));
    CHECK(rig.bench.shows("That is no number from 0x04 to 0xa4."));
    CHECK(rig.state.key.stroke.usage == 0);
    REQUIRE(rig.write("assign.key.number", "4b"));
    CHECK(rig.bench.find("assign.key.now")->value == "Page Up");
}

TEST_CASE("assign keys: a search for \"page\" leaves 2 keys; modifiers are toggles") {
    AssignRig rig(sound_profile());
    open_key(rig);
    CHECK_FALSE(rig.bench.find("assign.key.use")->is_enabled);
    REQUIRE(rig.write("assign.key.search", "page"));
    CHECK(rig.bench.find("assign.key.name/4b") != nullptr);
    CHECK(rig.bench.find("assign.key.name/4e") != nullptr);
    CHECK(rig.bench.find("assign.key.name/04") == nullptr);
    REQUIRE(rig.bench.work("assign.key.name/4e"));
    REQUIRE(rig.bench.work("assign.key.modifier/5"));
    REQUIRE(rig.bench.work("assign.key.use"));
    CHECK(rig.action("one", "d") == Action(Chord{{0x20, 0x4E}, ChordHold::tapped, ""}));
}

TEST_CASE("assign keys: every named key is found by paging through the names") {
    AssignRig rig(sound_profile());
    open_key(rig);
    std::size_t seen = 0;
    for (int page = 0; page < 10; ++page) {
        for (const ui::Control& control : rig.bench.ui.registry().controls)
            if (control.id.starts_with("assign.key.name/")) ++seen;
        if (!rig.bench.find("assign.key.later")->is_enabled) break;
        REQUIRE(rig.bench.work("assign.key.later"));
    }
    CHECK(seen == key_table().size());
    CHECK(found_media(Language::german, "").size() == consumer_table().size());
}

TEST_CASE("assign keys: on a German layout the place of Y types z, and both are said") {
    // Source: xkeyboard-config, symbols/de: AD06 (HID usage 1C) is z.
    Profile p = sound_profile();
    p.keyboard_layout.layout = "de";
    AssignRig rig(p);
    REQUIRE(rig.desk.editing.layout != nullptr);
    CHECK(stroke_in(Language::german, {0x01, 0x1C}, rig.desk.editing.layout.get()) == "Strg + Z");
    CHECK(stroke_in(Language::english, {0x01, 0x1C}) == "Control + Y");
    open_key(rig);
    REQUIRE(rig.write("assign.key.search", "y"));
    const ui::Control* key = rig.bench.find("assign.key.name/1c");
    REQUIRE(key != nullptr);
    CHECK(key->label == "y (types z)");
}

TEST_CASE("assign words: short words of all 18 kinds in both languages, each its own, nothing left open") {
    const Action all[] = {Chord{{1, 6}, ChordHold::tapped, ""},
                          Latch{2, {}},
                          Button{},
                          Drag{},
                          Move{Direction::up, "far"},
                          Scroll{},
                          ModeChange{ModeStyle::go_to, "two"},
                          Consumer{0xE9, false},
                          TypeText{"hello"},
                          GridMove{},
                          GridPick{},
                          Jump{},
                          Scale{},
                          ReleaseAll{},
                          Keep{},
                          Revert{},
                          Extend{},
                          VariantChange{}};
    CHECK(std::size(all) == std::variant_size_v<Action>);
    for (const Language language : {Language::english, Language::german}) {
        std::set<std::string> seen;
        for (const Action& action : all) {
            const std::string words = short_action_words(language, action);
            CAPTURE(words);
            CHECK(words.size() > 3);
            CHECK(words.find('{') == std::string::npos);
            CHECK(seen.insert(words).second);
        }
    }
    CHECK(short_action_words(Language::german, ReleaseAll{}) == "alles loslassen");
    CHECK(short_action_words(Language::english, Scale{ScaleStyle::while_held, 300}) ==
          "speed times 0.3 while held");
}

}  // namespace fettle::app::test
