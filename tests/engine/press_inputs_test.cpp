// All inputs together: who guards whom, whose press ends whose debounce, and what an idle tick costs.

#include <doctest/doctest.h>

#include <algorithm>
#include <map>
#include <random>

#include "tests/engine/press_model.hpp"
#include "tests/engine/press_rig.hpp"

namespace fettle::engine {
namespace {

using press_rig::Move;
using press_rig::Rig;
using Lines = std::vector<std::string>;

constexpr bool k_down = true, k_up = false;

RuleDef guard(uint16_t ms) {
    RuleDef rule = {};
    rule.guard_ms = ms;
    rule.longest_hold_ds = 300;
    return rule;
}

void check_rest(Rig& rig) {
    rig.run({}, rig.now_ms + 10000);
    CHECK(rig.is_sound);
    CHECK(rig.is_at_rest());
}

TEST_CASE("guard 100: a neighbour pressed 99 ms after an accepted press is ignored, 100 ms after is heard") {
    Rig rig(guard(100));
    rig.run({{0, k_down, 1},
             {99, k_down, 2},
             {150, k_up, 1},
             {160, k_up, 2},
             {300, k_down, 1},
             {400, k_down, 2},
             {410, k_up, 1},
             {420, k_up, 2}},
            500);
    CHECK(rig.happened == Lines{"0 accepted #1", "0 short #1", "99 guarded #2", "150 ended #1", "150 end #1",
                                "300 accepted #1", "300 short #1", "400 accepted #2", "400 short #2",
                                "410 ended #1", "410 end #1", "420 ended #2", "420 end #2"});
    check_rest(rig);
}

TEST_CASE("guard 100: the same input again is no neighbour, nor is one whose own rule has no guard") {
    Rig rig(guard(100));
    rig.rules[3].guard_ms = 0;
    rig.run({{0, k_down, 1}, {5, k_up, 1}, {10, k_down, 1}, {15, k_up, 1}, {20, k_down, 3}, {25, k_up, 3}},
            30);
    CHECK(std::count_if(rig.happened.begin(), rig.happened.end(), [](const std::string& line) {
              return line.find("accepted") != std::string::npos;
          }) == 3);
    check_rest(rig);
}

TEST_CASE("guard 100: A, B heard, A again: B before it guards although A was accepted last") {
    Rig rig(guard(100));
    rig.rules[1].guard_ms = 0;
    // 1 at 0, 2 at 100, 1 at 110 (its rule has no guard), 1 again at 120 with a guard: 2 was 20 ms ago.
    rig.run(
        {{0, k_down, 1}, {5, k_up, 1}, {100, k_down, 2}, {105, k_up, 2}, {110, k_down, 1}, {115, k_up, 1}},
        118);
    rig.rules[1].guard_ms = 100;
    rig.run({{120, k_down, 1}, {125, k_up, 1}}, 130);
    CHECK(rig.happened.back() == "120 guarded #1");
    check_rest(rig);
}

TEST_CASE("guard 100, acceptance 300: two inputs pressed 10 ms apart are one press, that of the first") {
    RuleDef rule = guard(100);
    rule.acceptance_ms = 300;
    Rig rig(rule);
    rig.run({{0, k_down, 1}, {10, k_down, 2}, {500, k_up, 1}, {600, k_up, 2}}, 700);
    CHECK(rig.happened ==
          Lines{"300 accepted #1", "300 short #1", "310 guarded #2", "500 ended #1", "500 end #1"});
    check_rest(rig);
}

TEST_CASE("guard 100: in one and the same tick the input with the lower number is heard") {
    Rig rig(guard(100));
    rig.run({{0, k_down, 4}, {0, k_down, 2}, {50, k_up, 2}, {50, k_up, 4}}, 100);
    CHECK(rig.happened == Lines{"0 accepted #2", "0 short #2", "0 guarded #4", "50 ended #2", "50 end #2"});
    check_rest(rig);
}

TEST_CASE("guard 2,000: an old press does not guard again when the 16-bit clock comes round") {
    Rig rig(guard(2000));
    rig.run({{0, k_down, 1},
             {5, k_up, 1},
             {1999, k_down, 2},
             {2005, k_up, 2},
             {65540, k_down, 2},
             {65550, k_up, 2}},
            65600);
    CHECK(rig.happened == Lines{"0 accepted #1", "0 short #1", "5 ended #1", "5 end #1", "1999 guarded #2",
                                "65540 accepted #2", "65540 short #2", "65550 ended #2", "65550 end #2"});
    check_rest(rig);
}

// Source: The X Keyboard Extension: Protocol Specification, "Applying Global Controls": "some other key is
// pressed before the timer expires" reactivates the key.
TEST_CASE(
    "debounce 300: another input's press ends it, even an ignored one; a closed gap of another does not") {
    RuleDef rule = {};
    rule.debounce_ms = 300;
    rule.longest_hold_ds = 300;
    Rig rig(rule);
    rig.run(
        {{0, k_down, 1}, {50, k_up, 1}, {100, k_down, 2}, {110, k_up, 2}, {120, k_down, 1}, {130, k_up, 1}},
        140);
    CHECK(rig.happened[6] == "110 ended #2");
    CHECK(rig.happened[8] == "120 accepted #1");
    // 2 bounces at 200, which ends the debounce of 1.
    rig.run({{200, k_down, 2}, {205, k_down, 1}, {210, k_up, 1}, {220, k_up, 2}}, 1000);
    CHECK(rig.happened[12] == "200 accepted #2");  // 1's press at 120 had ended that of 2
    CHECK(rig.happened[14] == "205 accepted #1");
    rig.rules[2].bridge_ms = 50;
    rig.run({{1500, k_down, 2},
             {1600, k_down, 1},
             {1610, k_up, 1},
             {1620, k_up, 2},
             {1630, k_down, 2},
             {1640, k_down, 1},
             {1650, k_up, 1},
             {1660, k_up, 2}},
            2000);
    CHECK(std::find(rig.happened.begin(), rig.happened.end(), "1640 bounced #1") != rig.happened.end());
    check_rest(rig);
}

TEST_CASE("an idle tick asks for no step, and an input that is done is left alone at once") {
    RuleDef rule = {};
    rule.debounce_ms = 30;
    rule.longest_hold_ds = 300;
    Rig rig(rule);
    rig.run({}, 1000);
    CHECK(rig.steps == 0);
    rig.run({{2000, k_down, 23}, {2005, k_up, 23}}, 5000);
    CHECK(rig.steps == 5 + 1 + 30);  // down, up, and the debounce until it is over
    CHECK(rig.presses.is_idle());
}

TEST_CASE("a profile change lets go of everything; inputs that are down are not heard until they were up") {
    RuleDef rule = {};
    rule.double_ms = 400;
    rule.bridge_ms = 10;
    rule.longest_hold_ds = 300;
    Rig rig(rule);
    rig.has[2] = k_has_double;
    rig.run({{0, k_down, 1}, {10, k_down, 2}, {20, k_up, 2}}, 100);
    CHECK(rig.presses.is_held(1));
    rig.presses.ignore_until_up(rig.levels);
    rig.held = 0;  // the engine has let go
    CHECK_FALSE(rig.presses.is_held(1));
    rig.happened.clear();
    rig.run({{200, k_up, 1}, {205, k_down, 1}, {300, k_up, 1}, {400, k_down, 1}, {410, k_up, 1}}, 500);
    CHECK(rig.happened == Lines{"400 accepted #1", "400 short #1", "420 ended #1", "420 end #1"});
    check_rest(rig);
}

TEST_CASE("release everything in an 8 ms gap of a hold, bridge 20: the contact that comes back is no press") {
    RuleDef rule = {};
    rule.bridge_ms = 20;
    rule.debounce_ms = 100;
    rule.longest_hold_ds = 300;
    Rig rig(rule);
    rig.run({{0, k_down, 1}, {50, k_up, 1}}, 53);
    rig.presses.ignore_until_up(rig.levels);
    rig.held = 0;
    rig.happened.clear();
    rig.run(
        {{58, k_down, 1}, {90, k_up, 1}, {189, k_down, 1}, {200, k_up, 1}, {301, k_down, 1}, {310, k_up, 1}},
        400);
    CHECK(rig.happened ==
          Lines{"189 bounced #1", "301 accepted #1", "301 short #1", "330 ended #1", "330 end #1"});
    check_rest(rig);
}

TEST_CASE("release everything after a hold limit: that the input is heard again is still told") {
    RuleDef rule = {};
    rule.longest_hold_ds = 5;
    Rig rig(rule);
    rig.run({{0, k_down, 1}}, 600);
    rig.presses.ignore_until_up(rig.levels);
    rig.run({{700, k_up, 1}}, 800);
    CHECK(rig.happened ==
          Lines{"0 accepted #1", "0 short #1", "500 hold_limit #1", "500 end #1", "700 really_up #1"});
    check_rest(rig);
}

TEST_CASE("release everything during the wait for a second press: the first one is forgotten") {
    RuleDef rule = {};
    rule.double_ms = 400;
    rule.longest_hold_ds = 300;
    Rig rig(rule, k_has_double);
    rig.run({{0, k_down, 1}, {50, k_up, 1}}, 100);
    rig.presses.ignore_until_up(rig.levels);
    CHECK(rig.presses.is_idle());
    rig.run({}, 1000);
    CHECK(rig.happened == Lines{"0 accepted #1", "50 ended #1"});
    check_rest(rig);
}

TEST_CASE("24 inputs take at most 204 bytes of an engine's 700") {
    CHECK(sizeof(Presses) <= 204);
}

// ---- random inputs: every input does what the slow model of one input says, given what the others did

struct Recording {
    std::vector<std::vector<uint8_t>> is_down;             // by input, by tick
    std::map<std::size_t, std::vector<uint8_t>> accepted;  // by tick: inputs, in the order of their steps
};

using press_model::Brought;
using press_model::TimeLine;

/// The time line of one input: what it did, and what it had from the others in that order of steps.
TimeLine line_of(uint8_t input, const Recording& seen, uint16_t guard_ms) {
    const std::size_t ticks = seen.is_down[input].size();
    TimeLine line{seen.is_down[input], std::vector<uint8_t>(ticks), std::vector<uint8_t>(ticks)};
    for (const auto& [tick, inputs] : seen.accepted) {
        for (const uint8_t other : inputs) {
            if (other == input) continue;
            const std::size_t from = other < input ? tick : tick + 1;
            for (std::size_t t = from; t < std::min(tick + guard_ms, ticks); ++t) line.is_guarded[t] = 1;
        }
    }
    return line;
}

TEST_CASE("4 inputs, 200 random rule sets, 80,000 edges: each input does what the model of one input says") {
    std::mt19937 dice(77);
    constexpr uint8_t k_inputs = 4;
    for (int round = 0; round < 200; ++round) {
        CAPTURE(round);
        RuleDef rule = {};
        rule.acceptance_ms = static_cast<uint16_t>(dice() % 3 * 10);
        rule.guard_ms = static_cast<uint16_t>(dice() % 40);
        rule.bridge_ms = static_cast<uint16_t>(dice() % 3 * 4);
        rule.refractory_ms = static_cast<uint16_t>(dice() % 2 * 60);
        rule.long_ms = 40;
        rule.double_ms = 50;
        rule.longest_hold_ds = 5;
        Rig rig(rule, static_cast<uint8_t>(dice() % 4));
        Recording seen;
        seen.is_down.resize(k_inputs);
        std::vector<std::vector<std::string>> by_input(k_inputs);
        for (unsigned t = 0; t < 3600; ++t, ++rig.now_ms) {
            for (uint8_t i = 0; i < k_inputs; ++i) {
                if (dice() % 30 == 0) rig.levels ^= 1u << i;
                if (t > 3000) rig.levels = 0;
                seen.is_down[i].push_back(rig.levels >> i & 1u);
            }
            rig.happened.clear();
            rig.tick();
            for (const std::string& line : rig.happened) {
                const std::size_t mark = line.find(" #");
                const auto input = static_cast<uint8_t>(mark == std::string::npos ? 0 : line[mark + 2] - '0');
                by_input[input].push_back(line.substr(0, mark));
                if (line.find("accepted") != std::string::npos) seen.accepted[t].push_back(input);
            }
        }
        CHECK(rig.is_sound);
        CHECK(rig.is_at_rest());
        for (uint8_t i = 0; i < k_inputs; ++i) {
            CAPTURE(i);
            std::vector<std::string> expected;
            const TimeLine line = line_of(i, seen, rule.guard_ms);
            for (const Brought& brought : press_model::all_that_happens(line, rule, rig.has[i], 1)) {
                const std::string at = std::to_string(brought.tick) + " ";
                for (const PressOutcome outcome : brought.outcomes) {
                    expected.push_back(at + press_rig::name_of(outcome));
                }
                if ((brought.signals & k_signal_begin_short) != 0) expected.push_back(at + "short");
                if ((brought.signals & k_signal_begin_long) != 0) expected.push_back(at + "long");
                if ((brought.signals & k_signal_begin_double) != 0) expected.push_back(at + "double");
                if ((brought.signals & k_signal_end) != 0) expected.push_back(at + "end");
            }
            CHECK(by_input[i] == expected);
        }
    }
}

}  // namespace
}  // namespace fettle::engine
