#include "core/profile/diff.hpp"

#include <doctest/doctest.h>

#include <algorithm>

#include "tests/profile/sample.hpp"

namespace fettle::profile {
namespace {

TEST_CASE("diff: equal profiles have no difference") {
    CHECK(diff(sample(), sample()).empty());
}

TEST_CASE("diff: one changed time is one change, with old, new, unit and help") {
    Profile after = sample();
    after.rule_sets[1].acceptance_ms = 250;
    const auto changes = diff(sample(), after);
    REQUIRE(changes.size() == 1);
    CHECK(changes[0].path == "rule_sets/switches/acceptance_ms");
    CHECK(changes[0].kind == ChangeKind::changed);
    CHECK(changes[0].before == "35");
    CHECK(changes[0].after == "250");
    REQUIRE(changes[0].field != nullptr);
    CHECK(std::string(changes[0].field->unit) == "ms");
}

TEST_CASE("diff: an action of another kind is shown whole, one of the same kind value by value") {
    Profile after = sample();
    after.modes[0].assignments[0].short_press = GridPick{};
    after.modes[0].assignments[0].long_press = Move{Direction::up, "points"};
    after.modes[0].assignments[0].double_press.reset();
    after.modes[1].assignments[4].long_press.reset();
    const auto changes = diff(sample(), after);
    REQUIRE(changes.size() == 4);
    CHECK(changes[0] == Change{"modes/first/assignments/button/short", ChangeKind::changed,
                               R"({"do": "move", "direction": "up_left", "motion": "travel"})",
                               R"({"do": "grid_pick"})", changes[0].field});
    CHECK(changes[1].path == "modes/first/assignments/button/long/direction");
    CHECK(changes[1].before == "\"down\"");
    CHECK(changes[1].after == "\"up\"");
    CHECK(changes[2].path == "modes/first/assignments/button/double");
    CHECK(changes[2].kind == ChangeKind::removed);
    CHECK(changes[2].before == R"({"do": "keep"})");
    CHECK(changes[2].after.empty());
    CHECK(changes[3].path == "modes/second/assignments/spare/long");
}

TEST_CASE(
    "diff: records are matched by name: one removed, one added, order told for inputs and modes alone") {
    Profile after = sample();
    std::swap(after.rule_sets[0], after.rule_sets[1]);
    std::swap(after.repeats[0], after.repeats[1]);
    CHECK(diff(sample(), after).empty());
    std::swap(after.modes[0], after.modes[1]);
    auto changes = diff(sample(), after);
    REQUIRE(changes.size() == 1);
    CHECK(changes[0].path == "modes");
    CHECK(changes[0].before == "first, second");
    CHECK(changes[0].after == "second, first");
    after = sample();
    after.repeats[0].name = "slower";
    changes = diff(sample(), after);
    REQUIRE(changes.size() == 2);
    CHECK(changes[0].path == "repeats/slower");
    CHECK(changes[0].kind == ChangeKind::added);
    CHECK(changes[1].path == "repeats/slow");
    CHECK(changes[1].kind == ChangeKind::removed);
}

TEST_CASE("diff: a cell of the grid, a row, a piece of text, a speed's form") {
    Profile after = sample();
    after.grid.rows[0][0] = Cell{"b"};
    after.grid.rows.push_back({Cell{"c"}, Cell{"d"}, Cell{"e"}});
    after.texts[0].parts = {TextPart{"Bye"}};
    std::get<Travel>(after.motions[0].family).speed = SpeedPoints{};
    const auto changes = diff(sample(), after);
    std::vector<std::string> paths;
    for (const Change& one : changes) paths.push_back(one.path);
    CHECK(paths == std::vector<std::string>{"motions/travel/speed", "texts/hello/parts", "grid/rows/0",
                                            "grid/rows/2"});
    CHECK(changes[1].after == "[\"Bye\"]");
    CHECK(changes[3].kind == ChangeKind::added);
}

TEST_CASE("diff: names, layout and pace") {
    Profile after = sample();
    after.name = "Other";
    after.keyboard_layout = {"de", "nodeadkeys"};
    after.pace.trial_s = 120;
    const auto changes = diff(sample(), after);
    REQUIRE(changes.size() == 4);
    CHECK(changes[0].path == "name");
    CHECK(changes[1].path == "keyboard_layout/layout");
    CHECK(changes[2].path == "keyboard_layout/variant");
    CHECK(changes[2].kind == ChangeKind::added);
    CHECK(changes[3] == Change{"pace/trial_s", ChangeKind::changed, "90", "120", changes[3].field});
}

}  // namespace
}  // namespace fettle::profile
