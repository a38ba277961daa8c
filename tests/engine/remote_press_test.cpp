// The remote's level through the press rules: what a person's rules make of toggles and of lost repeats. And
// any frames at all, then silence: nothing is down.

#include <doctest/doctest.h>

#include <random>

#include "core/engine/press.hpp"
#include "tests/engine/press_rig.hpp"
#include "tests/engine/remote_rig.hpp"

namespace fettle::engine {
namespace {

using namespace remote_rig;
using Lines = std::vector<std::string>;

struct Heard {
    double end_ms;
    IrFrame frame;
};

/// Input 0 is the button; each frame is told in the first tick 5 ms after its end.
Lines presses_of(const std::vector<Heard>& frames, const RuleDef& rule, uint8_t gestures = 0) {
    press_rig::Rig rig(rule, gestures);
    Remote remote;
    remote.reset();
    std::size_t next = 0;
    for (; rig.now_ms < 4000; ++rig.now_ms) {
        const uint32_t now_us = rig.now_ms * 1000;
        while (next < frames.size() && frames[next].end_ms * 1000 + k_told_late_us <= now_us) {
            remote.frame(0, frames[next].frame, static_cast<uint32_t>(frames[next].end_ms * 1000),
                         rule.holdover_ms);
            ++next;
        }
        rig.levels = remote.tick(now_us) == 0 ? 1 : 0;
        rig.tick();
    }
    CHECK(next == frames.size());
    CHECK(rig.is_sound);
    CHECK(rig.is_at_rest());
    return rig.happened;
}

RuleDef holdover(uint16_t ms) {
    RuleDef rule = {};
    rule.holdover_ms = ms;
    rule.longest_hold_ds = 300;
    return rule;
}

const std::vector<Heard> k_two_presses = {{100, make_frame(Protocol::rc5, 5, 16, 0)},
                                          {214, make_frame(Protocol::rc5, 5, 16, 1)},
                                          {328, make_frame(Protocol::rc5, 5, 16, 1)}};

TEST_CASE("RC-5, two quick presses, no rules: the toggle makes two of one long level") {
    CHECK(presses_of(k_two_presses, holdover(200)) == Lines{"105 accepted", "105 short", "219 ended",
                                                            "219 end", "220 accepted", "220 short",
                                                            "528 ended", "528 end"});
}

TEST_CASE(
    "RC-5, two quick presses: a person whose rules bridge 30 ms gets one, debounce 50 ms ignores the "
    "second") {
    RuleDef rule = holdover(200);
    rule.bridge_ms = 30;
    CHECK(presses_of(k_two_presses, rule) ==
          Lines{"105 accepted", "105 short", "220 bridged", "558 ended", "558 end"});
    rule.bridge_ms = 0;
    rule.debounce_ms = 50;
    CHECK(presses_of(k_two_presses, rule) ==
          Lines{"105 accepted", "105 short", "219 ended", "219 end", "220 bounced"});
}

TEST_CASE("RC-5, two quick presses with a double action: a double press") {
    RuleDef rule = holdover(200);
    rule.double_ms = 400;
    CHECK(presses_of(k_two_presses, rule, k_has_double) ==
          Lines{"105 accepted", "219 ended", "220 accepted", "220 double", "528 ended", "528 end"});
}

TEST_CASE("NEC held for five periods, the second and third repeat lost: one press at a holdover of 400 ms") {
    std::vector<Heard> frames = {{k_nec_whole_ms, make_frame(Protocol::nec, 0, 0x45)}};
    for (const int n : {1, 4, 5}) frames.push_back({nec_repeat_end_ms(n), nec_repeat()});
    CHECK(presses_of(frames, holdover(400)) == Lines{"74 accepted", "74 short", "952 ended", "952 end"});
    // At 150 ms the hold breaks off after the first repeat, and bridging 300 ms does not bring it back: the
    // repeats that come later are no press.
    RuleDef rule = holdover(150);
    rule.bridge_ms = 300;
    CHECK(presses_of(frames, rule) == Lines{"74 accepted", "74 short", "570 ended", "570 end"});
}

IrFrame random_frame(std::mt19937& dice, uint8_t input) {
    const auto protocol = static_cast<Protocol>(1 + dice() % 11);
    IrFrame frame = make_frame(protocol, static_cast<uint16_t>(dice() % 2), input);
    if (protocol == Protocol::rc5 || protocol == Protocol::rc6) frame.toggle = dice() % 2;
    const bool may_repeat = protocol == Protocol::nec || protocol == Protocol::jvc;
    frame.repeat = may_repeat && dice() % 2 == 0;
    return frame;
}

TEST_CASE("100,000 random frames: a new press is always a fresh down, a repeat never is another input's") {
    std::mt19937 dice(5);
    Remote remote;
    remote.reset();
    uint32_t now_us = 0;
    uint8_t level = k_no_input;
    unsigned new_presses = 0, downs = 0, frames = 0, wrong = 0;
    const auto tick = [&] {
        now_us += 1000;
        const uint8_t now_down = remote.tick(now_us);
        if (now_down != level && now_down != k_no_input) ++downs;
        level = now_down;
    };
    while (frames < 100000) {
        const uint8_t input = static_cast<uint8_t>(dice() % 4);
        const IrFrame frame = random_frame(dice, input);
        const uint8_t before = remote.input();
        const uint32_t end_us = now_us - 4000 - static_cast<uint32_t>(dice() % 1000);
        const RemoteHeard heard =
            remote.frame(dice() % 10 == 0 ? k_no_input : input, frame, end_us, dice() % 2 == 0 ? 120 : 40);
        ++frames;
        new_presses += heard.is_new_press ? 1 : 0;
        if (frame.repeat && (heard.is_new_press || (before != k_no_input && remote.input() != before)))
            ++wrong;
        if (heard.input != k_no_input && !frame.repeat && remote.input() != heard.input) ++wrong;
        if (heard.lost > 74) ++wrong;
        for (auto ticks = 20 + dice() % 120; ticks > 0; --ticks) tick();
    }
    CHECK(wrong == 0);
    CHECK(new_presses > 10000);
    CHECK(downs >= new_presses);
    for (int ms = 0; ms < 3000; ++ms) tick();
    CHECK(level == k_no_input);
    CHECK(remote.input() == k_no_input);
}

}  // namespace
}  // namespace fettle::engine
