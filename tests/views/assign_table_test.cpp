// The table: lamps, narrow windows, pages beside it, and that nothing overflows in German at 300 %.
#include <doctest/doctest.h>

#include "app/views/assign_parts.hpp"
#include "tests/views/assign_rig.hpp"

namespace fettle::app::test {
namespace {

using namespace profile;

Profile full_profile() {
    Profile p = faulty_profile(FindingKind::text_not_typable);
    p.grid = plain_grid();
    p.modes[0].assignments[0].long_press = Chord{{0x45, 0x4B}, ChordHold::repeated, "rows"};
    p.modes[0].assignments[1].double_press = GridMove{Direction::right, "rows"};
    return p;
}

bool is_lit(const AssignRig& rig, const std::string& id) {
    const ui::Control* control = rig.bench.find(id);
    REQUIRE(control != nullptr);
    return control->is_on;
}

std::vector<AssignPlace> all_places() {
    std::vector<AssignPlace> places;
    for (int i = 0; i <= static_cast<int>(AssignPage::findings); ++i) {
        AssignPlace place;
        place.page = static_cast<AssignPage>(i);
        place.mode = "one";
        place.input = "c";
        place.text = "greeting";
        place.gesture = GestureName::long_press;
        places.push_back(place);
    }
    return places;
}

}  // namespace

TEST_CASE("assign: a cell lights while its input is down and at least 350 ms, in the device's mode alone") {
    AssignRig rig(sound_profile());
    rig.desk.names.inputs = {"d", "c", "b", "a"};  // the device's own order
    rig.desk.names.modes = {"one", "two"};
    rig.desk.mode = 1;
    rig.desk.down[1] = true;
    rig.bench.frame();
    rig.desk.down[1] = false;
    const auto from = rig.bench.input.now_ms;
    CHECK(is_lit(rig, "assign.input/c"));
    CHECK(is_lit(rig, "assign.cell/two/c"));
    CHECK_FALSE(is_lit(rig, "assign.cell/one/c"));
    CHECK_FALSE(is_lit(rig, "assign.cell/two/b"));
    while (rig.bench.input.now_ms + 16 < from + 350) {
        rig.bench.frame();
        CHECK(is_lit(rig, "assign.cell/two/c"));
    }
    for (int i = 0; i < 3; ++i) rig.bench.frame();
    CHECK_FALSE(is_lit(rig, "assign.cell/two/c"));
    CHECK_FALSE(is_lit(rig, "assign.input/c"));
}

TEST_CASE("assign: inputs by modes at 1280 px; at 300 % one mode, chosen above") {
    AssignRig wide(sound_profile());
    CHECK(wide.bench.find("assign.cell/one/a") != nullptr);
    CHECK(wide.bench.find("assign.cell/two/a") != nullptr);
    CHECK(wide.bench.find("assign.shown_mode") == nullptr);
    const ui::Rect a = wide.bench.find("assign.cell/one/a")->rect;
    const ui::Rect b = wide.bench.find("assign.cell/two/a")->rect;
    CHECK(a.y == b.y);
    CHECK(a.right() < b.x);
    AssignRig narrow(sound_profile(), {300, Language::english, {1280, 800}});
    CHECK(narrow.bench.find("assign.cell/two/a") == nullptr);
    REQUIRE(narrow.choose("assign.shown_mode", 1));
    CHECK(narrow.bench.find("assign.cell/two/a") != nullptr);
    CHECK(narrow.bench.find("assign.cell/one/a") == nullptr);
}

TEST_CASE(
    "assign: a cell says short, long and double press with a sign each, and in whole words for readers") {
    AssignRig rig(full_profile());
    const ui::Control* cell = rig.bench.find("assign.cell/one/a");
    REQUIRE(cell != nullptr);
    CHECK(cell->value.find("\u2022 to the next mode") == 0);
    CHECK(cell->value.find("\u2014 ") != std::string::npos);
    CHECK(cell->label.find("a in mode one: short press: to the next mode; long press: ") == 0);
    CHECK(rig.bench.find("assign.cell/one/b")->value.find("\u2022\u2022 letters: right") !=
          std::string::npos);
}

TEST_CASE("assign: no control of its 15 pages is wider than the window, in German at 300 %, 1280 by 800") {
    AssignRig rig(full_profile(), {300, Language::german, {1280, 800}});
    int pages = 0;
    int controls = 0;
    for (const AssignPlace& place : all_places()) {
        ++pages;
        CAPTURE(static_cast<int>(place.page));
        rig.open(place);
        for (const ui::Control& control : rig.bench.ui.registry().controls) {
            CAPTURE(control.id);
            CHECK(control.rect.x >= 0);
            CHECK(control.rect.right() <= 1280);
            if (ui::is_worked(control.role)) CHECK(control.rect.h >= 44);
            ++controls;
        }
    }
    CHECK(pages == 15);
    CHECK(controls > 200);
}

TEST_CASE("assign: a mode is added, renamed, labelled, moved to the front, removed") {
    AssignRig rig(sound_profile());
    REQUIRE(rig.bench.work("assign.modes"));
    REQUIRE(rig.write("assign.mode_new", "reading-the-list"));
    REQUIRE(rig.profile().modes.size() == 3);
    CHECK(rig.profile().modes[2].label == "reading-the-");
    REQUIRE(rig.bench.work("assign.mode/reading-the-list"));
    REQUIRE(rig.write("assign.mode.name", "list"));
    CHECK(rig.profile().modes[2].name == "list");
    REQUIRE(rig.write("assign.mode.label", "List"));
    CHECK(rig.profile().modes[2].label == "List");
    REQUIRE(rig.bench.work("assign.mode.earlier"));
    REQUIRE(rig.bench.work("assign.mode.earlier"));
    CHECK(rig.profile().modes[0].name == "list");
    CHECK_FALSE(rig.bench.find("assign.mode.earlier")->is_enabled);
    REQUIRE(rig.bench.work("assign.mode.remove"));
    REQUIRE(rig.bench.work("assign.mode.remove/yes"));
    CHECK(rig.profile().modes.size() == 2);
    CHECK(rig.state.at.page == AssignPage::modes);
}

TEST_CASE("assign: a name that is taken is refused with a sentence, and nothing changes") {
    AssignRig rig(sound_profile());
    REQUIRE(rig.bench.work("assign.mode/one"));
    const Profile before = rig.profile();
    REQUIRE(rig.write("assign.mode.name", "two"));
    CHECK(rig.bench.find("assign.complaint")->label.find("That name is taken.") == 0);
    CHECK(rig.profile() == before);
    CHECK(rig.given.empty());
}

TEST_CASE("assign: an input gets rules of its own, and a long press at another time") {
    AssignRig rig(sound_profile());
    REQUIRE(rig.bench.work("assign.input/c"));
    CHECK(rig.bench.shows("These rules are also for: a, b, d."));
    REQUIRE(rig.bench.work("assign.rules.own"));
    CHECK(find_named(rig.profile().inputs, "c")->rules == "rules1");
    REQUIRE(rig.bench.work("assign.rule.long.more"));
    CHECK(find_named(rig.profile().rule_sets, "rules1")->long_ms > 600);
    CHECK(find_named(rig.profile().rule_sets, "switches")->long_ms == 600);
    REQUIRE(rig.write("assign.input.name", "chin"));
    CHECK(find_named(rig.profile().inputs, "chin") != nullptr);
    REQUIRE(rig.bench.work("assign.input.remove"));
    REQUIRE(rig.bench.work("assign.input.remove/yes"));
    CHECK(rig.profile().inputs.size() == 3);
}

TEST_CASE("assign: Teach it asks for the screen of teaching and that input") {
    AssignRig rig(sound_profile());
    REQUIRE(rig.bench.work("assign.input/c"));
    REQUIRE(rig.bench.work("assign.input.teach"));
    REQUIRE(rig.given.size() == 2);
    CHECK(std::get<order::Show>(rig.given[0]).screen == Screen::teach);
    CHECK(std::get<order::TeachBegin>(rig.given[1]).input == "c");
}

TEST_CASE(
    "assign: a character that the layout cannot type is named beside its piece; another layout mends it") {
    // Source: xkeyboard-config: symbols/us has no u with diaeresis, symbols/de has it at AD11.
    Profile p = sound_profile();
    p.texts = {{"door", {std::string("T\u00fcr")}}};
    p.modes[0].assignments[2].long_press = TypeText{"door"};
    AssignRig rig(p);
    CHECK(rig.has(FindingKind::text_not_typable));
    REQUIRE(rig.bench.work("assign.texts"));
    REQUIRE(rig.bench.work("assign.text/door"));
    CHECK(rig.bench.shows("The layout us cannot type: \u00fc"));
    rig.open({});
    REQUIRE(rig.bench.work("assign.layout"));
    REQUIRE(rig.bench.work("assign.layout/de/"));
    CHECK(rig.profile().keyboard_layout == KeyboardLayout{"de", ""});
    CHECK_FALSE(rig.has(FindingKind::text_not_typable));
    REQUIRE(rig.write("assign.layout.name", "zz"));
    CHECK(rig.bench.find("assign.layout.known")->label.find("This system does not know") == 0);
}

TEST_CASE("assign: a text of a piece, a key and another piece; a piece is removed") {
    AssignRig rig(sound_profile());
    REQUIRE(rig.bench.work("assign.texts"));
    REQUIRE(rig.write("assign.text_new", "ab"));
    REQUIRE(rig.bench.work("assign.text/text1"));
    REQUIRE(rig.bench.work("assign.part_new_key"));
    REQUIRE(rig.write("assign.key.search", "enter"));
    REQUIRE(rig.bench.work("assign.key.name/28"));
    REQUIRE(rig.bench.work("assign.key.use"));
    REQUIRE(rig.write("assign.part_new", "cd"));
    CHECK(rig.profile().texts[0].parts ==
          std::vector<TextPart>{std::string("ab"), Stroke{0, 0x28}, std::string("cd")});
    REQUIRE(rig.bench.work("assign.part/0.remove"));
    CHECK(rig.profile().texts[0].parts.size() == 2);
    REQUIRE(rig.bench.work("assign.text.remove"));
    REQUIRE(rig.bench.work("assign.text.remove/yes"));
    CHECK(rig.profile().texts.empty());
}

TEST_CASE("assign: a grid of letters is made, grown, a cell becomes a sign, a key, empty") {
    AssignRig rig(sound_profile());
    REQUIRE(rig.bench.work("assign.grid"));
    REQUIRE(rig.bench.work("assign.grid.make"));
    CHECK(rig.profile().grid.rows.size() == 5);
    CHECK(rig.profile().grid.rows[4].size() == 7);
    REQUIRE(rig.bench.work("assign.grid.add_row"));
    REQUIRE(rig.bench.work("assign.grid.add_column"));
    CHECK(rig.profile().grid.rows.size() == 6);
    REQUIRE(rig.bench.work("assign.grid_cell/5/7"));
    REQUIRE(rig.write("assign.grid_cell.text", "!"));
    CHECK(rig.profile().grid.rows[5][7] == Cell(std::string("!")));
    REQUIRE(rig.bench.work("assign.grid_cell.key"));
    REQUIRE(rig.bench.work("assign.key.name/04"));
    REQUIRE(rig.bench.work("assign.key.use"));
    CHECK(rig.profile().grid.rows[5][7] == Cell(Stroke{0, 0x04}));
    REQUIRE(rig.bench.work("assign.grid_cell.empty"));
    CHECK(rig.profile().grid.rows[5][7] == Cell());
}

TEST_CASE("assign: what an undo takes away while its page is open: the table is shown") {
    AssignRig rig(sound_profile());
    rig.open_cell("two", "c");
    rig.desk.editing.profile.modes.pop_back();
    rig.bench.settle();
    CHECK(rig.state.at.page == AssignPage::table);
    CHECK(rig.bench.find("assign.cell/one/c") != nullptr);
}

}  // namespace fettle::app::test
