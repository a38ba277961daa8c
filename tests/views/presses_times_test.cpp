// Press times and gaps, worked as a person works them; the figures are those of core/measure, which has its
// own tests, and some are counted by hand here.
#include <doctest/doctest.h>

#include <algorithm>

#include "app/views/presses_times_data.hpp"
#include "core/profile/records.hpp"
#include "tests/views/presses_rolls.hpp"
#include "tests/views/sitting.hpp"

namespace fettle::app::test {
namespace {

/// Down for 20, 80, 100, 40, 900 and 200 ms; 70 ms between the second and the third.
const std::vector<HandPress> k_six{{1000, 20}, {2000, 80}, {2150, 100}, {4000, 40}, {6000, 900}, {8000, 200}};

/// The Presses screen by itself, over a desk made by hand: one switch "cheek", another one with its rules.
struct Table {
    Table() {
        profile::RuleSet rules;
        rules.name = "switches";
        rules.acceptance_ms = 30;
        rules.long_ms = 800;
        profile::Mode mode;
        mode.name = "far";
        profile::Assignment cheek;
        cheek.input = "cheek";
        cheek.short_press = profile::Button{1, profile::ButtonStyle::click};
        cheek.long_press = profile::ReleaseAll{};
        mode.assignments = {cheek};
        desk.editing.profile.rule_sets = {rules};
        desk.editing.profile.inputs = {{"cheek", "switches", profile::Switch{1, true}},
                                       {"foot", "switches", profile::Switch{2, true}}};
        desk.editing.profile.modes = {mode};
        desk.names.inputs = {"cheek", "foot"};
        desk.roll = roll_of_presses(0, k_six, 10000);
        state.part = PressesPart::times;
        bench.settle();
    }
    measure::WhatIf measured(const profile::RuleSet& rules) const {
        return measure::what_if(measure::recorded_levels(desk.roll, 0), profile::rule_def(rules),
                                engine::k_has_long);
    }
    std::string value(const std::string& id) const {
        const ui::Control* control = bench.find(id);
        return control == nullptr ? "nothing of that name" : control->value;
    }
    void check_counts(const profile::RuleSet& now, const profile::RuleSet& there) const {
        const auto a = measured(now), b = measured(there);
        const auto words = [](std::uint32_t x, std::uint32_t y) {
            return std::to_string(x) + "; with the lines " + std::to_string(y);
        };
        CHECK(value("times.count.accepted") == words(a.accepted, b.accepted));
        CHECK(value("times.count.joined") == words(a.bridged, b.bridged));
        CHECK(value("times.count.too_short") == words(a.too_short, b.too_short));
        CHECK(value("times.count.bounced") == words(a.bounced, b.bounced));
        CHECK(value("times.count.refractory") == words(a.refractory, b.refractory));
        CHECK(value("times.count.long") == words(a.long_presses, b.long_presses));
        CHECK(value("times.count.short") == words(a.short_presses, b.short_presses));
    }

    Desk desk;
    PressesState state;
    std::vector<Order> given;
    Bench bench{[this](ui::Ui& ui) {
        presses_view(ui, desk, state, [this](Order one) { given.push_back(std::move(one)); });
    }};
};

TEST_CASE("times: acceptance moved by keyboard from 30 to 50 ms drops 2 of 6 presses instead of 1") {
    Table table;
    const profile::RuleSet rules = table.desk.editing.profile.rule_sets[0];
    CHECK(table.value("times.count.accepted") == "5; with the lines 5");
    CHECK(table.value("times.count.too_short") == "1; with the lines 1");
    CHECK(table.value("times.count.long") == "1; with the lines 1");
    REQUIRE(table.bench.work("times.held"));
    table.bench.press(ui::Key::right, true);
    table.bench.press(ui::Key::right, true);
    CHECK(table.value("times.count.accepted") == "5; with the lines 4");
    CHECK(table.value("times.count.too_short") == "1; with the lines 2");
    profile::RuleSet moved = rules;
    moved.acceptance_ms = 50;
    table.check_counts(rules, moved);
    CHECK(table.bench.shows("acceptance 50 ms (moves), long 800 ms"));

    table.bench.press(ui::Key::escape);
    REQUIRE(table.bench.work("times.take"));
    REQUIRE(table.given.size() == 1);
    const auto* edit = std::get_if<edit::Edit>(&table.given[0]);
    REQUIRE(edit != nullptr);
    CHECK(*edit == edit::Edit{edit::PutRuleSet{moved, ""}});
    // The lines stand where the profile has them again, until the edit is made.
    table.check_counts(rules, rules);
}

TEST_CASE(
    "times: every step of each line tells what measure counts with it there, and reset brings all back") {
    Table table;
    const profile::RuleSet rules = table.desk.editing.profile.rule_sets[0];
    struct Way {
        const char *show, *picture;
        int down;  ///< which line
        int profile::RuleSet::*field;
        int to;
    };
    const Way ways[] = {{"times.held.show", "times.held", 1, &profile::RuleSet::long_ms, 900},
                        {"times.gaps.show", "times.gaps", 0, &profile::RuleSet::debounce_ms, 100},
                        {"times.gaps.show", "times.gaps", 1, &profile::RuleSet::bridge_ms, 100},
                        {"times.apart.show", "times.apart", 0, &profile::RuleSet::refractory_ms, 200}};
    for (const Way& way : ways) {
        CAPTURE(way.picture);
        CAPTURE(way.down);
        REQUIRE(table.bench.work(way.show));
        REQUIRE(table.bench.work(way.picture));
        for (int i = 0; i < 3; ++i) table.bench.press(ui::Key::up);
        for (int i = 0; i <= way.down; ++i) table.bench.press(ui::Key::down);
        profile::RuleSet moved = rules;
        while (moved.*way.field < way.to) {
            moved.*way.field += 100;
            table.bench.press(ui::Key::page_down);
            table.check_counts(rules, moved);
        }
        CHECK_FALSE(table.measured(moved) == table.measured(rules));
        table.bench.press(ui::Key::escape);
        REQUIRE(table.bench.work("times.reset"));
        table.check_counts(rules, rules);
    }
    CHECK(table.given.empty());
}

TEST_CASE("times: without a picture, the number beside it moves the line by 1 ms, and says the same") {
    Table table;
    REQUIRE(table.bench.work("times.set.acceptance.more"));
    CHECK(table.bench.shows("acceptance 31 ms"));
    REQUIRE(table.bench.work("times.set.acceptance.less"));
    CHECK(table.bench.find("times.take")->is_enabled == false);
}

TEST_CASE("times: a line dragged by the pointer goes where the pointer is, and off at the left edge") {
    Table table;
    REQUIRE(table.bench.work("times.held"));
    for (int i = 0; i < 6; ++i) table.bench.press(ui::Key::page_down);  // 630 ms, apart from 800
    table.bench.press(ui::Key::home);
    CHECK(table.bench.shows("acceptance off (moves)"));
    const ui::Rect rect = table.bench.find("times.held")->rect;
    // Off stands at the left edge of the bars; taken there and let go far left of it, it stays off.
    table.bench.press(ui::Key::end);
    CHECK(table.bench.shows("acceptance 5000 ms (moves)"));
    std::optional<float> grip;
    for (float x = rect.right() - 2; x > rect.x && !grip; x -= 4) {
        table.bench.input.pointer = {x, rect.bottom() - 40};
        table.bench.frame();
        table.bench.input.primary_down = true;
        table.bench.frame();
        if (table.state.times.hands[0].is_dragging) grip = x;
        if (!grip) {
            table.bench.input.primary_down = false;
            table.bench.frame();
        }
    }
    REQUIRE(grip);
    table.bench.input.pointer.x = rect.x + 1;
    table.bench.frame();
    table.bench.input.primary_down = false;
    table.bench.settle();
    CHECK(table.bench.shows("acceptance off (moves)"));
    CHECK_FALSE(table.state.times.hands[0].is_dragging);
}

TEST_CASE("times: how much stands behind it is said: 6 presses, 5 gaps, medians 90 and 1750 ms") {
    Table table;
    // Presses 20 40 80 100 200 900: 90 in the middle. Gaps 980 70 1750 1960 1100: 1100.
    CHECK(table.bench.shows("6 presses and 5 gaps that were seen whole"));
    CHECK(table.bench.shows("a press lasts 90 ms, a gap 1100 ms"));
    CHECK(table.bench.shows("also for: foot"));
    CHECK_FALSE(table.bench.shows("A remote sends no release"));
    table.desk.editing.profile.inputs[0].source = profile::Infrared{profile::Protocol::nec, 1, 2, 0, 0};
    table.bench.settle();
    // Source: NEC repeats every 108 ms (reference of the consumer protocols' timing; core/profile/workable).
    CHECK(table.bench.shows("repeat period of 108 ms and contain the holdover of 120 ms"));
}

TEST_CASE("times: from press to press is what a press and the gap after it come to") {
    const auto roll = roll_of_presses(0, k_six, 10000);
    const auto apart = times_apart(measure::press_times(roll, 0));
    std::vector<std::int64_t> ms;
    for (const measure::Span& one : apart) ms.push_back(one.long_us / 1000);
    CHECK(ms == std::vector<std::int64_t>{1000, 150, 1850, 2000, 2000});
}

TEST_CASE(
    "times: a recording that grows is gathered again after a second, not before; another input at once") {
    Table table;
    const std::uint32_t first = table.state.times.gathered.version;
    append(table.desk.roll, 11000, engine::EventKind::level, {0, 1});
    append(table.desk.roll, 11300, engine::EventKind::level, {0, 0});
    table.bench.input.now_ms += 500;
    table.bench.settle();
    CHECK(table.state.times.gathered.version == first);
    table.bench.input.now_ms += 600;
    table.bench.settle();
    CHECK(table.state.times.gathered.version == first + 1);
    CHECK(table.value("times.count.accepted") == "6; with the lines 6");
    table.state.times.input = 1;
    table.bench.settle();
    CHECK(table.value("times.count.accepted") == "0; with the lines 0");
}

TEST_CASE("times: of more than 300,000 events only the last ones are counted, and it says so") {
    Table table;
    CHECK_FALSE(table.bench.shows("Only the last"));
    // Half an hour of reports that the computer took, after the six presses; then one more press.
    for (int i = 0; i < 300'000; ++i) append(table.desk.roll, 10000 + i * 6, engine::EventKind::taken, {1});
    append(table.desk.roll, 1'900'000, engine::EventKind::level, {0, 1});
    append(table.desk.roll, 1'900'200, engine::EventKind::level, {0, 0});
    table.bench.input.now_ms += 60'000;
    table.bench.settle();
    CHECK(table.bench.shows("Only the last 32 minutes are counted"));
    CHECK(table.value("times.count.accepted").starts_with("1; "));
}

TEST_CASE("times: a recording of inputs that the profile does not know has no lines and no button") {
    Table table;
    table.desk.names.inputs = {"chin", "heel"};
    table.bench.settle();
    CHECK(table.bench.find("times.take") == nullptr);
    CHECK(table.bench.shows("has no input of this name"));
    table.desk.names.inputs.clear();
    table.bench.settle();
    CHECK(table.bench.find("times.take") != nullptr);
    CHECK(table.bench.shows("does not say what its inputs are called"));
}

TEST_CASE("times: nothing recorded is a sentence") {
    Table table;
    table.desk.names = {};
    table.desk.roll.clear();
    table.bench.settle();
    CHECK(table.bench.shows("Nothing was recorded yet"));
}

}  // namespace
}  // namespace fettle::app::test
