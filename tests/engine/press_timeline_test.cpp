// One input on time lines that can be followed with a finger.

#include <doctest/doctest.h>

#include "tests/engine/press_rig.hpp"

namespace fettle::engine {
namespace {

using press_rig::life;
using press_rig::Move;
using press_rig::Rig;
using Lines = std::vector<std::string>;

constexpr bool k_down = true, k_up = false;

RuleDef plain() {
    RuleDef rule = {};
    rule.longest_hold_ds = 300;
    return rule;
}
RuleDef slow(uint16_t ms) {
    RuleDef rule = plain();
    rule.acceptance_ms = ms;
    return rule;
}
RuleDef bounce(uint16_t ms) {
    RuleDef rule = plain();
    rule.debounce_ms = ms;
    return rule;
}
RuleDef bridge(uint16_t ms) {
    RuleDef rule = plain();
    rule.bridge_ms = ms;
    return rule;
}
RuleDef timed(uint16_t long_ms, uint16_t double_ms) {
    RuleDef rule = plain();
    rule.long_ms = long_ms;
    rule.double_ms = double_ms;
    return rule;
}
RuleDef late(RuleDef rule) {
    rule.flags = k_rule_act_on_release;
    return rule;
}

TEST_CASE("no rules: a press begins in the tick of the down and ends in the tick of the up") {
    CHECK(life(plain(), 0, {{10, k_down}, {15, k_up}}) ==
          Lines{"10 accepted", "10 short", "15 ended", "15 end"});
}

// Source of the next five: The X Keyboard Extension: Protocol Specification, "The SlowKeys Control", "The
// BounceKeys Control" and "Applying Global Controls"; the times are worked out from those rules.

TEST_CASE("acceptance 300: released at 299 is nothing, released at 301 was a press at 300") {
    CHECK(life(slow(300), 0, {{0, k_down}, {299, k_up}}) == Lines{"299 too_short"});
    CHECK(life(slow(300), 0, {{0, k_down}, {301, k_up}}) ==
          Lines{"300 accepted", "300 short", "301 ended", "301 end"});
}

TEST_CASE("debounce 300: released at 50, pressed at 349 is ignored, pressed at 351 is accepted") {
    CHECK(life(bounce(300), 0, {{0, k_down}, {50, k_up}, {349, k_down}, {360, k_up}}) ==
          Lines{"0 accepted", "0 short", "50 ended", "50 end", "349 bounced"});
    CHECK(life(bounce(300), 0, {{0, k_down}, {50, k_up}, {351, k_down}, {360, k_up}}) ==
          Lines{"0 accepted", "0 short", "50 ended", "50 end", "351 accepted", "351 short", "360 ended",
                "360 end"});
}

TEST_CASE(
    "debounce 300: an ignored press stays ignored as long as it is down, and its release counts again") {
    CHECK(life(bounce(300), 0,
               {{0, k_down},
                {50, k_up},
                {349, k_down},
                {900, k_up},
                {1199, k_down},
                {1210, k_up},
                {1511, k_down},
                {1520, k_up}}) == Lines{"0 accepted", "0 short", "50 ended", "50 end", "349 bounced",
                                        "1199 bounced", "1511 accepted", "1511 short", "1520 ended",
                                        "1520 end"});
}

TEST_CASE("debounce 300 and acceptance 300: chained; a bounce is not even waited for, a slow press is") {
    RuleDef rule = slow(300);
    rule.debounce_ms = 300;
    CHECK(life(rule, 0,
               {{0, k_down}, {400, k_up}, {699, k_down}, {1500, k_up}, {1801, k_down}, {2200, k_up}}) ==
          Lines{"300 accepted", "300 short", "400 ended", "400 end", "699 bounced", "2101 accepted",
                "2101 short", "2200 ended", "2200 end"});
}

TEST_CASE("debounce 300 and acceptance 300: the release of a press that was too short starts the debounce") {
    RuleDef rule = slow(300);
    rule.debounce_ms = 300;
    CHECK(life(rule, 0, {{0, k_down}, {100, k_up}, {399, k_down}, {800, k_up}}) ==
          Lines{"100 too_short", "399 bounced"});
}

TEST_CASE(
    "bridge 20: contact lost for 8 ms during a hold sends nothing, for 20 ms neither, for 21 ms ends it") {
    CHECK(life(bridge(20), 0,
               {{0, k_down}, {50, k_up}, {58, k_down}, {100, k_up}, {120, k_down}, {150, k_up}}) ==
          Lines{"0 accepted", "0 short", "58 bridged", "120 bridged", "170 ended", "170 end"});
    CHECK(life(bridge(20), 0, {{0, k_down}, {50, k_up}, {71, k_down}, {80, k_up}}) ==
          Lines{"0 accepted", "0 short", "70 ended", "70 end", "71 accepted", "71 short", "100 ended",
                "100 end"});
}

TEST_CASE("bridge 20, debounce 300: a closed gap starts no debounce; the debounce counts from the real up") {
    RuleDef rule = bridge(20);
    rule.debounce_ms = 300;
    CHECK(life(rule, 0,
               {{0, k_down},
                {50, k_up},
                {58, k_down},
                {100, k_up},
                {399, k_down},
                {410, k_up},
                {710, k_down},
                {720, k_up}}) == Lines{"0 accepted", "0 short", "58 bridged", "120 ended", "120 end",
                                       "399 bounced", "710 accepted", "710 short", "740 ended", "740 end"});
}

TEST_CASE(
    "bridge 20, acceptance 300: a gap does not start the delay again, and nothing is accepted inside it") {
    RuleDef rule = bridge(20);
    rule.acceptance_ms = 300;
    CHECK(life(rule, 0, {{0, k_down}, {290, k_up}, {305, k_down}, {400, k_up}}) ==
          Lines{"305 bridged", "305 accepted", "305 short", "420 ended", "420 end"});
    CHECK(life(rule, 0, {{0, k_down}, {290, k_up}, {311, k_down}, {400, k_up}}) ==
          Lines{"310 too_short", "420 too_short"});
}

TEST_CASE("refractory 500: no press of this input within 500 ms of an accepted one, held over or not") {
    RuleDef rule = plain();
    rule.refractory_ms = 500;
    CHECK(life(rule, 0, {{0, k_down}, {10, k_up}, {499, k_down}, {700, k_up}, {701, k_down}, {705, k_up}}) ==
          Lines{"0 accepted", "0 short", "10 ended", "10 end", "499 refractory", "701 accepted", "701 short",
                "705 ended", "705 end"});
    CHECK(life(rule, 0, {{0, k_down}, {10, k_up}, {500, k_down}, {510, k_up}}).size() == 8);
}

TEST_CASE("long 500: let go at 500 is short, held at 500 is long and begins there") {
    CHECK(life(timed(500, 0), k_has_long, {{0, k_down}, {500, k_up}}) ==
          Lines{"0 accepted", "500 ended", "500 short", "500 end"});
    CHECK(life(timed(500, 0), k_has_long, {{0, k_down}, {501, k_up}}) ==
          Lines{"0 accepted", "500 long", "501 ended", "501 end"});
}

TEST_CASE("long 500: an input without a long action gives its short press at once") {
    CHECK(life(timed(500, 400), 0, {{0, k_down}, {600, k_up}}) ==
          Lines{"0 accepted", "0 short", "600 ended", "600 end"});
}

TEST_CASE("long 500 after acceptance 200: counts from the acceptance, so at 700") {
    RuleDef rule = timed(500, 0);
    rule.acceptance_ms = 200;
    CHECK(life(rule, k_has_long, {{0, k_down}, {900, k_up}}) ==
          Lines{"200 accepted", "700 long", "900 ended", "900 end"});
}

TEST_CASE("double 400: the second press within 400 ms of the release is held as a double press") {
    CHECK(life(timed(0, 400), k_has_double, {{0, k_down}, {50, k_up}, {450, k_down}, {900, k_up}}) ==
          Lines{"0 accepted", "50 ended", "450 accepted", "450 double", "900 ended", "900 end"});
    CHECK(life(timed(0, 400), k_has_double, {{0, k_down}, {50, k_up}, {451, k_down}, {460, k_up}}) ==
          Lines{"0 accepted", "50 ended", "450 short", "450 end", "451 accepted", "460 ended", "860 short",
                "860 end"});
}

TEST_CASE(
    "double 400, acceptance 300: the second press counts from its down, and the decision waits for it") {
    RuleDef rule = timed(0, 400);
    rule.acceptance_ms = 300;
    CHECK(life(rule, k_has_double, {{0, k_down}, {350, k_up}, {700, k_down}, {1100, k_up}}) ==
          Lines{"300 accepted", "350 ended", "1000 accepted", "1000 double", "1100 ended", "1100 end"});
    CHECK(life(rule, k_has_double, {{0, k_down}, {350, k_up}, {700, k_down}, {900, k_up}}) ==
          Lines{"300 accepted", "350 ended", "900 too_short", "900 short", "900 end"});
}

TEST_CASE("double 400, debounce 100: a bounce is no second press") {
    RuleDef rule = timed(0, 400);
    rule.debounce_ms = 100;
    CHECK(life(rule, k_has_double, {{0, k_down}, {50, k_up}, {90, k_down}, {95, k_up}}) ==
          Lines{"0 accepted", "50 ended", "90 bounced", "450 short", "450 end"});
}

TEST_CASE("long 500 and double 400: held 500 is long; twice is double, however long; once is short, late") {
    const uint8_t both = k_has_long | k_has_double;
    CHECK(life(timed(500, 400), both, {{0, k_down}, {600, k_up}, {700, k_down}, {710, k_up}}) ==
          Lines{"0 accepted", "500 long", "600 ended", "600 end", "700 accepted", "710 ended", "1110 short",
                "1110 end"});
    CHECK(life(timed(500, 400), both, {{0, k_down}, {100, k_up}, {200, k_down}, {1200, k_up}}) ==
          Lines{"0 accepted", "100 ended", "200 accepted", "200 double", "1200 ended", "1200 end"});
}

TEST_CASE("three presses of a double 400: a double and the first of the next") {
    CHECK(life(timed(0, 400), k_has_double,
               {{0, k_down}, {50, k_up}, {100, k_down}, {150, k_up}, {200, k_down}, {250, k_up}}) ==
          Lines{"0 accepted", "50 ended", "100 accepted", "100 double", "150 ended", "150 end",
                "200 accepted", "250 ended", "650 short", "650 end"});
}

TEST_CASE("act on release: short, long and double begin and end together when the press is over") {
    CHECK(life(late(plain()), 0, {{0, k_down}, {100, k_up}}) ==
          Lines{"0 accepted", "100 ended", "100 short", "100 end"});
    CHECK(life(late(timed(500, 0)), k_has_long, {{0, k_down}, {700, k_up}}) ==
          Lines{"0 accepted", "700 ended", "700 long", "700 end"});
    CHECK(life(late(timed(0, 400)), k_has_double, {{0, k_down}, {50, k_up}, {100, k_down}, {300, k_up}}) ==
          Lines{"0 accepted", "50 ended", "100 accepted", "300 ended", "300 double", "300 end"});
}

TEST_CASE("longest hold 2 s: let go at 2,000 ms, deaf until really up, then heard again") {
    RuleDef rule = plain();
    rule.longest_hold_ds = 20;
    CHECK(life(rule, 0, {{5, k_down}, {9000, k_up}, {9100, k_down}, {9110, k_up}}) ==
          Lines{"5 accepted", "5 short", "2005 hold_limit", "2005 end", "9000 really_up", "9100 accepted",
                "9100 short", "9110 ended", "9110 end"});
}

TEST_CASE("longest hold 2 s, act on release: the limit is an end, so it is acted on there, once") {
    RuleDef rule = late(plain());
    rule.longest_hold_ds = 20;
    CHECK(life(rule, 0, {{0, k_down}, {9000, k_up}}) ==
          Lines{"0 accepted", "2000 hold_limit", "2000 short", "2000 end", "9000 really_up"});
}

TEST_CASE("longest hold 2 s, bridge 100: chatter of a spasm is not really up") {
    RuleDef rule = bridge(100);
    rule.longest_hold_ds = 20;
    CHECK(life(rule, 0, {{0, k_down}, {3000, k_up}, {3090, k_down}, {4000, k_up}}) ==
          Lines{"0 accepted", "0 short", "2000 hold_limit", "2000 end", "4100 really_up"});
}

TEST_CASE("longest hold 600 s: exact to the millisecond on the 16-bit clock, gaps or not") {
    RuleDef rule = bridge(100);
    rule.longest_hold_ds = 6000;
    CHECK(life(rule, 0, {{0, k_down}, {599999, k_up}}) ==
          Lines{"0 accepted", "0 short", "600000 hold_limit", "600000 end", "600099 really_up"});
    CHECK(life(rule, 0, {{0, k_down}, {300000, k_up}, {300100, k_down}, {599900, k_up}}) ==
          Lines{"0 accepted", "0 short", "300100 bridged", "600000 ended", "600000 end"});
    rule.bridge_ms = 0;
    CHECK(life(rule, 0, {{0, k_down}, {600001, k_up}}) ==
          Lines{"0 accepted", "0 short", "600000 hold_limit", "600000 end", "600001 really_up"});
}

TEST_CASE("longest hold 0, which no rule may say: let go after the shortest one, 500 ms") {
    RuleDef rule = plain();
    rule.longest_hold_ds = 0;
    CHECK(life(rule, 0, {{0, k_down}, {900, k_up}}) ==
          Lines{"0 accepted", "0 short", "500 hold_limit", "500 end", "900 really_up"});
}

TEST_CASE("a rest of 65,536 ms and any near it does not bring old timers back") {
    RuleDef rule = bounce(300);
    rule.refractory_ms = 500;
    for (const unsigned rest_ms : {65300u, 65536u, 65600u, 131072u}) {
        CAPTURE(rest_ms);
        CHECK(life(rule, 0, {{0, k_down}, {10, k_up}, {rest_ms, k_down}, {rest_ms + 5, k_up}}).size() == 8);
    }
}

}  // namespace
}  // namespace fettle::engine
