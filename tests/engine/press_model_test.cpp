// press.cpp against the slow model of press_model.cpp: every short path, then a million random edges.

#include <doctest/doctest.h>

#include <algorithm>
#include <random>

#include "tests/engine/press_model.hpp"

namespace fettle::engine {
namespace {

using press_model::all_that_happened;
using press_model::all_that_happens;
using press_model::TimeLine;

/// Numbers that are the same everywhere (the distributions of the standard library are not).
class Dice {
public:
    explicit Dice(uint32_t seed) : engine_(seed) {}
    unsigned below(unsigned n) { return static_cast<unsigned>(engine_() % n); }
    bool one_in(unsigned n) { return below(n) == 0; }

private:
    std::mt19937 engine_;
};

TimeLine silent(std::size_t ticks) {
    return {std::vector<uint8_t>(ticks), std::vector<uint8_t>(ticks), std::vector<uint8_t>(ticks)};
}

constexpr unsigned k_path_ticks = 10;
constexpr unsigned k_path_silence = 14;
constexpr unsigned k_tick_ms = 100;

/// Rules of at most a few ticks, so that each is met, missed and met exactly.
RuleDef small_rule(unsigned bridge, unsigned debounce, unsigned acceptance, unsigned refractory, bool late) {
    RuleDef rule = {};
    rule.flags = late ? k_rule_act_on_release : 0;
    rule.bridge_ms = static_cast<uint16_t>(bridge * k_tick_ms);
    rule.debounce_ms = static_cast<uint16_t>(debounce * k_tick_ms);
    rule.acceptance_ms = static_cast<uint16_t>(acceptance * k_tick_ms);
    rule.refractory_ms = static_cast<uint16_t>(refractory * k_tick_ms);
    rule.long_ms = 3 * k_tick_ms;
    rule.double_ms = 2 * k_tick_ms;
    rule.longest_hold_ds = 5;
    return rule;
}

/// Walks all 2^10 levels under one rule. Gives how many differed from the model.
unsigned differing_paths(const RuleDef& rule, uint8_t has, unsigned guard_at, unsigned other_at) {
    unsigned differing = 0;
    TimeLine line = silent(k_path_ticks + k_path_silence);
    if (guard_at < k_path_ticks) line.is_guarded[guard_at] = 1;
    if (other_at < k_path_ticks) line.is_other_pressed[other_at] = 1;
    for (unsigned path = 0; path < 1u << k_path_ticks; ++path) {
        for (unsigned t = 0; t < k_path_ticks; ++t) line.is_down[t] = path >> t & 1u;
        // The clock begins anywhere, its wrap included.
        const auto first_ms = static_cast<uint16_t>(path * 61u);
        const auto seen = all_that_happened(line, rule, has, k_tick_ms, first_ms);
        if (seen != all_that_happens(line, rule, has, k_tick_ms)) ++differing;
    }
    return differing;
}

TEST_CASE("press rules: all 1,024 paths of 10 ticks under 288 rule sets are those of the slow model") {
    for (unsigned bridge = 0; bridge < 3; ++bridge) {
        for (unsigned set = 0; set < 24; ++set) {
            const unsigned debounce = set % 2 * 2, acceptance = set / 2 % 3, refractory = set / 6 % 2 * 3;
            const bool acts_late = set / 12 != 0;
            const RuleDef rule = small_rule(bridge, debounce, acceptance, refractory, acts_late);
            for (uint8_t has = 0; has < 4; ++has) {
                CAPTURE(bridge);
                CAPTURE(debounce);
                CAPTURE(acceptance);
                CAPTURE(refractory);
                CAPTURE(acts_late);
                CAPTURE(has);
                CHECK(differing_paths(rule, has, k_path_ticks, k_path_ticks) == 0);
            }
        }
    }
}

TEST_CASE(
    "press rules: a neighbour's press at each of 8 ticks, guarding or ending the debounce: as the model") {
    for (unsigned at = 0; at < 8; ++at) {
        for (unsigned set = 0; set < 8; ++set) {
            const RuleDef rule = small_rule(set % 2, 3, set / 2 % 2 * 2, 0, set / 4 != 0);
            CAPTURE(at);
            CAPTURE(set);
            CHECK(differing_paths(rule, k_has_long | k_has_double, at, k_path_ticks) == 0);
            CHECK(differing_paths(rule, k_has_long | k_has_double, k_path_ticks, at) == 0);
        }
    }
}

uint16_t some_ms(Dice& dice, unsigned longest) {
    switch (dice.below(4)) {
        case 0: return 0;
        case 1: return static_cast<uint16_t>(1 + dice.below(3));
        default: return static_cast<uint16_t>(1 + dice.below(longest));
    }
}

RuleDef random_rule(Dice& dice) {
    RuleDef rule = {};
    rule.flags = dice.one_in(2) ? k_rule_act_on_release : 0;
    rule.acceptance_ms = some_ms(dice, 60);
    rule.debounce_ms = some_ms(dice, 60);
    rule.bridge_ms = some_ms(dice, 30);
    rule.refractory_ms = some_ms(dice, 80);
    rule.long_ms = some_ms(dice, 60);
    rule.double_ms = some_ms(dice, 80);
    rule.longest_hold_ds = static_cast<uint16_t>(5 + dice.below(3));
    return rule;
}

/// Edges a few ms apart, sometimes at once, sometimes after a spasm longer than the longest hold.
TimeLine random_line(Dice& dice, unsigned edges) {
    TimeLine line;
    uint8_t is_down = 0;
    for (unsigned edge = 0; edge <= edges; ++edge) {
        unsigned ms = 1 + dice.below(dice.one_in(2) ? 6 : 50);
        if (dice.one_in(100)) ms = 400 + dice.below(500);
        if (edge == edges) {
            is_down = 0;
            ms = 300;
        }
        line.is_down.insert(line.is_down.end(), ms, is_down);
        is_down = is_down == 0;
    }
    line.is_guarded.resize(line.is_down.size());
    line.is_other_pressed.resize(line.is_down.size());
    const auto ticks = static_cast<unsigned>(line.is_down.size());
    for (unsigned i = 0; i < edges; ++i) {
        const unsigned from = dice.below(ticks);
        for (unsigned t = from; t < std::min(from + 3, ticks); ++t) line.is_guarded[t] = 1;
        line.is_other_pressed[dice.below(ticks)] = 1;
    }
    return line;
}

TEST_CASE("press rules: 1,000,000 random edges under 10,000 rule sets bring what the slow model says") {
    Dice dice(20261);
    unsigned differing = 0, accepted = 0, gestures = 0;
    for (unsigned round = 0; round < 10000; ++round) {
        const RuleDef rule = random_rule(dice);
        const auto has = static_cast<uint8_t>(dice.below(4));
        const TimeLine line = random_line(dice, 100);
        const auto first_ms = static_cast<uint16_t>(dice.below(65536));
        const auto seen = all_that_happened(line, rule, has, 1, first_ms);
        if (seen != all_that_happens(line, rule, has, 1)) ++differing;
        for (const auto& brought : seen) {
            if ((brought.signals & k_signal_end) != 0) ++gestures;
            for (const PressOutcome outcome : brought.outcomes) {
                if (outcome == PressOutcome::accepted) ++accepted;
            }
        }
    }
    CHECK(differing == 0);
    // The comparison is worth something only if much was accepted.
    CHECK(accepted > 50000);
    CHECK(gestures > 50000);
    CHECK(gestures <= accepted);
}

}  // namespace
}  // namespace fettle::engine
