#include "core/measure/what_if.hpp"

#include <doctest/doctest.h>

#include <random>
#include <vector>

#include "tests/measure/bench_board.hpp"
#include "tests/trace/events.hpp"

using namespace fettle;
using namespace fettle::test;
using engine::EventKind;
using engine::PressOutcome;
using engine::RuleDef;
using measure::RecordedLevels;
using measure::WhatIf;
using measure::WhatIfOutcome;
using trace::Roll;

namespace {

RuleDef plain_rule() {
    RuleDef rule{};
    rule.long_ms = 500;
    rule.double_ms = 300;
    rule.longest_hold_ds = 6000;
    return rule;
}

/// Levels at whole ms, in turn down and up.
RecordedLevels levels_at(std::initializer_list<int> times_ms, int end_ms) {
    RecordedLevels levels;
    bool is_down = false;
    for (const int ms : times_ms) {
        is_down = !is_down;
        levels.changes.push_back({ms * 1000, is_down});
    }
    levels.end_us = end_ms * 1000;
    return levels;
}

RuleDef random_rule(std::mt19937& random) {
    const auto one_of = [&](std::initializer_list<int> values) {
        return static_cast<std::uint16_t>(values.begin()[random() % values.size()]);
    };
    RuleDef rule = plain_rule();
    rule.flags = static_cast<std::uint8_t>(random() % 2);
    rule.acceptance_ms = one_of({0, 0, 5, 30, 120});
    rule.debounce_ms = one_of({0, 0, 10, 60});
    rule.bridge_ms = one_of({0, 0, 8, 40});
    rule.refractory_ms = one_of({0, 0, 100, 700});
    rule.guard_ms = one_of({0, 0, 50, 400});
    rule.long_ms = one_of({100, 300, 600});
    rule.double_ms = one_of({100, 250, 500});
    rule.longest_hold_ds = one_of({5, 6, 6000});
    return rule;
}

struct Told {
    std::vector<WhatIfOutcome> outcomes;
    std::uint32_t gestures[3] = {};
};

/// What the device itself said of an input, at whole ms since `base_us`.
Told told_by_device(const Roll& roll, std::uint8_t input) {
    Told told;
    trace::Moment moment;
    for (auto walk = roll.walk(); walk.next(moment);) {
        const auto& d = moment.event.data;
        if (d[0] != input) continue;
        if (moment.event.kind == EventKind::press)
            told.outcomes.push_back({(moment.at_us + 500) / 1000 * 1000, static_cast<PressOutcome>(d[1])});
        if (moment.event.kind == EventKind::gesture) ++told.gestures[d[1]];
    }
    return told;
}

void check_agrees(Board& board, std::uint8_t input, std::span<const RuleDef> rules) {
    const RuleDef rule = rules[input];
    const auto levels =
        measure::recorded_levels(board.roll(), input, -trace::k_farthest_us, trace::k_farthest_us, rules);
    std::vector<WhatIfOutcome> outcomes;
    const WhatIf got = measure::what_if(levels, rule, Board::has(input), &outcomes);
    const Told told = told_by_device(board.roll(), input);
    std::size_t wrong = 0;
    for (std::size_t i = 0; i < outcomes.size() && i < told.outcomes.size(); ++i) {
        outcomes[i].at_us = (outcomes[i].at_us + 500) / 1000 * 1000;
        if (outcomes[i] == told.outcomes[i]) continue;
        if (wrong++ == 0) {
            CHECK(outcomes[i].at_us == told.outcomes[i].at_us);
            CHECK(static_cast<int>(outcomes[i].outcome) == static_cast<int>(told.outcomes[i].outcome));
        }
    }
    CHECK(wrong == 0);
    CHECK(outcomes.size() == told.outcomes.size());
    CHECK(got.short_presses == told.gestures[0]);
    CHECK(got.long_presses == told.gestures[1]);
    CHECK(got.double_presses == told.gestures[2]);
}

}  // namespace

TEST_CASE(
    "what if: with the rule unchanged, 40 random rules and a minute of 3 hands each agree with the device") {
    std::mt19937 random(17);
    std::size_t outcomes = 0;
    for (std::uint32_t seed = 1; seed <= 40; ++seed) {
        CAPTURE(seed);
        const std::array rules = {random_rule(random), random_rule(random), random_rule(random)};
        Board board(rules);
        board.work(seed, 60000);
        for (std::uint8_t input = 0; input < k_board_inputs; ++input) {
            CAPTURE(input);
            check_agrees(board, input, rules);
            outcomes += told_by_device(board.roll(), input).outcomes.size();
        }
    }
    CHECK(outcomes > 4000);
}

TEST_CASE(
    "what if: `release everything` during a hold is replayed: the press is cut off, not heard until up") {
    const std::array rules = {plain_rule(), plain_rule(), plain_rule()};
    Board board(rules);
    board.set(0, true);
    board.run(200);
    board.release_all();
    board.run(300);
    board.set(0, false);
    board.run(100);
    board.set(0, true);
    board.run(50);
    board.set(0, false);
    board.run(1000);
    check_agrees(board, 0, rules);
    const WhatIf got = measure::what_if(measure::recorded_levels(board.roll(), 0), rules[0], 0);
    CHECK(got.accepted == 2);
    CHECK(got.cut_off == 1);
}

TEST_CASE("what if: taps of 20, 60 and 200 ms: an acceptance of 50 ms drops 1, one of 100 ms drops 2") {
    const auto levels = levels_at({100, 120, 1000, 1060, 2000, 2200}, 4000);
    RuleDef rule = plain_rule();
    CHECK(measure::what_if(levels, rule, 0).accepted == 3);
    rule.acceptance_ms = 50;
    CHECK(measure::what_if(levels, rule, 0).accepted == 2);
    CHECK(measure::what_if(levels, rule, 0).too_short == 1);
    rule.acceptance_ms = 100;
    CHECK(measure::what_if(levels, rule, 0).accepted == 1);
    CHECK(measure::what_if(levels, rule, 0).dropped() == 2);
    rule.acceptance_ms = 60;  // a timer of n ms needs n ms of level
    CHECK(measure::what_if(levels, rule, 0).accepted == 1);
}

TEST_CASE(
    "what if: a hold with a gap of 30 ms is 2 presses; bridged over 40 ms it is 1 with 1 release joined") {
    const auto levels = levels_at({0, 300, 330, 900}, 2000);
    RuleDef rule = plain_rule();
    CHECK(measure::what_if(levels, rule, 0).accepted == 2);
    rule.bridge_ms = 40;
    const WhatIf bridged = measure::what_if(levels, rule, 0);
    CHECK(bridged.accepted == 1);
    CHECK(bridged.bridged == 1);
    rule.bridge_ms = 0;
    rule.debounce_ms = 40;
    CHECK(measure::what_if(levels, rule, 0).bounced == 1);
    rule.debounce_ms = 0;
    rule.refractory_ms = 400;
    CHECK(measure::what_if(levels, rule, 0).refractory == 1);
}

TEST_CASE(
    "what if: a hold of 600 ms is long at 500, short at 700; two taps 200 ms apart are 1 double at 300") {
    const auto hold = levels_at({0, 600}, 3000);
    RuleDef rule = plain_rule();
    CHECK(measure::what_if(hold, rule, engine::k_has_long).long_presses == 1);
    rule.long_ms = 700;
    CHECK(measure::what_if(hold, rule, engine::k_has_long).short_presses == 1);
    const auto taps = levels_at({0, 50, 250, 300}, 3000);
    CHECK(measure::what_if(taps, rule, engine::k_has_double).double_presses == 1);
    rule.double_ms = 150;
    CHECK(measure::what_if(taps, rule, engine::k_has_double).double_presses == 0);
    CHECK(measure::what_if(taps, rule, engine::k_has_double).short_presses == 2);
}

TEST_CASE("what if: a hold of 2 s against a limit of 1 s is 1 press that the limit ends") {
    RuleDef rule = plain_rule();
    rule.longest_hold_ds = 10;
    const WhatIf got = measure::what_if(levels_at({0, 2000}, 3000), rule, 0);
    CHECK(got.accepted == 1);
    CHECK(got.hold_limits == 1);
    CHECK(got.cut_off == 0);
}

TEST_CASE("what if: a press 100 ms after a neighbour's is dropped by a guard of 200 ms, not by one of 50") {
    Roll roll;
    roll.append(0, snapshot(0, 0));
    roll.append(10000, level(1, true));
    roll.append(10000, press(1, PressOutcome::accepted));
    roll.append(90000, level(1, false));
    roll.append(90000, press(1, PressOutcome::ended));
    roll.append(110000, level(0, true));
    roll.append(200000, level(0, false));
    roll.extend_to(1000000);
    const auto levels = measure::recorded_levels(roll, 0);
    RuleDef rule = plain_rule();
    rule.guard_ms = 200;
    CHECK(measure::what_if(levels, rule, 0).guarded == 1);
    rule.guard_ms = 50;
    CHECK(measure::what_if(levels, rule, 0).accepted == 1);
}

TEST_CASE("what if: 65.6 s after a neighbour's press its guard is over, though 16 bits of ms came round") {
    Roll roll;
    roll.append(0, snapshot(0, 0));
    roll.append(1000, level(1, true));
    roll.append(1000, press(1, PressOutcome::accepted));
    roll.append(9000, level(1, false));
    roll.append(9000, press(1, PressOutcome::ended));
    roll.append(65600000, level(0, true));
    roll.append(65700000, level(0, false));
    roll.extend_to(66000000);
    RuleDef rule = plain_rule();
    rule.guard_ms = 2000;
    CHECK(measure::what_if(measure::recorded_levels(roll, 0), rule, 0).accepted == 1);
}

TEST_CASE("what if: a gap cuts 1 press off; what the snapshot finds down is not heard until really up") {
    Roll roll;
    roll.append(0, snapshot(0, 0));
    roll.append(1000000, level(0, true));
    roll.append(1100000, event(EventKind::taken, {1}));
    roll.append_gap(2);
    roll.append(1500000, snapshot(0, 1));
    roll.append(1600000, level(0, false));
    roll.append(1700000, level(0, true));
    roll.append(1800000, level(0, false));
    roll.extend_to(2000000);
    const auto levels = measure::recorded_levels(roll, 0);
    REQUIRE(levels.changes.size() == 7);
    CHECK(levels.changes[0] == measure::LevelChange{0, false, false, false});
    CHECK(levels.changes[2] == measure::LevelChange{1100000, false, true, false});
    CHECK(levels.changes[3] == measure::LevelChange{1500000, true, false, true});
    const WhatIf got = measure::what_if(levels, plain_rule(), 0);
    CHECK(got.accepted == 2);
    CHECK(got.cut_off == 1);
}

TEST_CASE(
    "what if: 2 presses that each let go of everything are 2; 0 where a longer acceptance takes neither") {
    Roll roll;
    roll.append(0, snapshot(0, 0));
    for (const int from_ms : {1000, 3000}) {
        roll.append(from_ms * 1000, level(0, true));
        roll.append(from_ms * 1000, event(EventKind::press, {0, 0}));
        roll.append(from_ms * 1000, event(EventKind::released, {0}));
        roll.append((from_ms + 80) * 1000, level(0, false));
    }
    roll.extend_to(5000000);
    const auto levels = measure::recorded_levels(roll, 0);
    RuleDef rule = plain_rule();
    const WhatIf as_it_was = measure::what_if(levels, rule, 0);
    CHECK(as_it_was.accepted == 2);
    CHECK(as_it_was.dropped() == 0);
    rule.acceptance_ms = 100;
    const WhatIf longer = measure::what_if(levels, rule, 0);
    CHECK(longer.accepted == 0);
    CHECK(longer.too_short == 2);
}

TEST_CASE(
    "what if: a press that goes on at the end is 1 accepted and 1 cut off; nothing recorded is nothing") {
    const WhatIf got = measure::what_if(levels_at({100}, 400), plain_rule(), 0);
    CHECK(got.accepted == 1);
    CHECK(got.cut_off == 1);
    CHECK(measure::what_if(RecordedLevels{}, plain_rule(), 0) == WhatIf{});
    CHECK(measure::recorded_levels(Roll(), 0).changes.empty());
    RecordedLevels none = levels_at({100, 200}, 400);
    none.input = 24;
    CHECK(measure::what_if(none, plain_rule(), 0) == WhatIf{});
}

TEST_CASE("what if: an hour between two presses costs no more than they do, and both count") {
    const auto levels = levels_at({0, 100, 3600000 / 2, 3600000 / 2 + 100}, 3600000 / 2 + 1000);
    std::vector<WhatIfOutcome> outcomes;
    CHECK(measure::what_if(levels, plain_rule(), 0, &outcomes).accepted == 2);
    REQUIRE(outcomes.size() == 4);
    CHECK(outcomes[2] == WhatIfOutcome{1800000000, PressOutcome::accepted});
    CHECK(outcomes[3] == WhatIfOutcome{1800100000, PressOutcome::ended});
}
