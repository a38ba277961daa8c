// The demo profiles, read as the story that they are for.
#include <doctest/doctest.h>

#include <algorithm>
#include <set>

#include "core/profile/check.hpp"
#include "core/profile/layout.hpp"
#include "core/profile/mode_graph.hpp"
#include "tests/profile/sample.hpp"
#include "tests/profile/us_strokes.hpp"

namespace fettle::profile {
namespace {

Profile asset_profile(const char* name) {
    auto profile = parse(asset(name));
    REQUIRE(profile);
    return *profile;
}

const Action* short_press(const Profile& profile, const char* mode, const char* input) {
    for (const Assignment& one : find_named(profile.modes, mode)->assignments)
        if (one.input == input && one.short_press) return &*one.short_press;
    return nullptr;
}

TEST_CASE("assets: the check finds nothing in any of the 4 profiles") {
    const auto layout = XkbLayout::load({"us", ""});
    REQUIRE(layout);
    for (const char* name : k_asset_names) {
        for (const Finding& one : check(asset_profile(name), layout->get())) {
            CAPTURE(std::string(name));
            CAPTURE(std::string(finding_name(one.kind)));
            CAPTURE(one.where);
            CHECK(false);
        }
    }
}

TEST_CASE("assets: the volunteer's cheek switch releases everything at once in all 4 modes") {
    const Profile profile = asset_profile("volunteer");
    for (const Mode& mode : profile.modes) {
        CAPTURE(mode.name);
        const Action* action = short_press(profile, mode.name.c_str(), "cheek");
        REQUIRE(action != nullptr);
        CHECK(std::holds_alternative<ReleaseAll>(*action));
        for (const Assignment& one : mode.assignments)
            if (one.input == "cheek") {
                CHECK_FALSE(one.long_press.has_value());  // or the short press would wait for it
                CHECK_FALSE(one.double_press.has_value());
            }
    }
}

TEST_CASE(
    "assets: the volunteer's grid types every printable ASCII character but ` and ~, and the restart chord") {
    const UsStrokes us;
    const Profile profile = asset_profile("volunteer");
    std::set<uint8_t> usages;
    bool has_restart = false;
    for (const auto& row : profile.grid.rows)
        for (const Cell& cell : row) {
            if (const auto* text = std::get_if<std::string>(&cell))
                usages.insert(us.strokes_for(*text)->at(0).usage);
            has_restart = has_restart || cell == Cell{Stroke{0x05, 0x4C}};  // Control, Alt, Delete
        }
    CHECK(has_restart);
    for (char c = 0x20; c <= 0x7E; ++c) {
        if (c == '`' || c == '~') continue;
        CAPTURE(c);
        const auto strokes = us.strokes_for(std::string(1, c));
        REQUIRE(strokes);
        CHECK(usages.contains(strokes->at(0).usage));  // with the latched Shift where it needs one
    }
    const Action* plus = short_press(profile, "letters", "plus");
    REQUIRE(plus != nullptr);
    CHECK(*plus == Action{Latch{0x02, LatchStyle::latch_then_lock}});
}

TEST_CASE(
    "assets: the volunteer's rows are selected with a latched or locked Shift, and drags are one press") {
    const Profile profile = asset_profile("volunteer");
    CHECK(*short_press(profile, "list", "plus") == Action{Latch{0x02, LatchStyle::latch_then_lock}});
    const auto* down = std::get_if<Chord>(short_press(profile, "list", "down"));
    REQUIRE(down != nullptr);
    CHECK(down->hold == ChordHold::repeated);
    for (const char* mode : {"far", "near", "list", "letters"})
        CHECK(*short_press(profile, mode, "foot") == Action{Drag{1}});
}

TEST_CASE("assets: the volunteer's tired variant has longer rules and is one press away on the device") {
    const Profile profile = asset_profile("volunteer");
    REQUIRE(profile.variants.size() == 1);
    const RuleSet& tired = profile.variants[0].rule_sets.at(0);
    const RuleSet& rested = *find_named(profile.rule_sets, tired.name);
    CHECK(tired.debounce_ms > rested.debounce_ms);
    CHECK(tired.refractory_ms > rested.refractory_ms);
    CHECK(tired.long_ms > rested.long_ms);
    CHECK(tired.holdover_ms > rested.holdover_ms);
    const auto placed = placed_actions(profile);
    CHECK(std::any_of(placed.begin(), placed.end(), [](const Placed& one) {
        return std::holds_alternative<VariantChange>(*one.action) && one.gesture != GestureName::double_press;
    }));
}

TEST_CASE("assets: one switch reaches all 26 letters, 10 digits, space, enter and backspace in one row") {
    const Profile profile = asset_profile("one_switch");
    CHECK(profile.inputs.size() == 1);
    REQUIRE(profile.grid.rows.size() == 1);  // the device steps within a row
    std::set<std::string> typed;
    std::set<uint8_t> keys;
    for (const Cell& cell : profile.grid.rows[0]) {
        if (const auto* text = std::get_if<std::string>(&cell)) typed.insert(*text);
        if (const auto* stroke = std::get_if<Stroke>(&cell)) keys.insert(stroke->usage);
    }
    for (const char c : std::string("abcdefghijklmnopqrstuvwxyz0123456789 "))
        CHECK(typed.contains(std::string(1, c)));
    CHECK(keys == std::set<uint8_t>{0x28, 0x2A});
}

}  // namespace
}  // namespace fettle::profile
