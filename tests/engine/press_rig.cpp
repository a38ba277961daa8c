#include "tests/engine/press_rig.hpp"

#include <doctest/doctest.h>

namespace fettle::engine::press_rig {

const char* name_of(PressOutcome outcome) {
    switch (outcome) {
        case PressOutcome::accepted: return "accepted";
        case PressOutcome::too_short: return "too_short";
        case PressOutcome::bounced: return "bounced";
        case PressOutcome::refractory: return "refractory";
        case PressOutcome::guarded: return "guarded";
        case PressOutcome::bridged: return "bridged";
        case PressOutcome::ended: return "ended";
        case PressOutcome::hold_limit: return "hold_limit";
        case PressOutcome::really_up: return "really_up";
    }
    return "?";
}

Rig::Rig(const RuleDef& rule, uint8_t gestures) : Rig() {
    for (uint8_t i = 0; i < k_max_inputs; ++i) {
        rules[i] = rule;
        has[i] = gestures;
    }
}

void Rig::tick() {
    const auto clock_ms = static_cast<uint16_t>(first_ms + now_ms);
    for (uint32_t work = presses.due(levels, clock_ms); work != 0; work &= work - 1) {
        uint8_t input = 0;
        while ((work >> input & 1u) == 0) ++input;
        const uint32_t bit = uint32_t{1} << input;
        const PressStep step = presses.step(input, (levels & bit) != 0, clock_ms, rules[input], has[input]);
        ++steps;
        const std::string who = input == 0 ? "" : " #" + std::to_string(input);
        const auto say = [&](const char* what) {
            happened.push_back(std::to_string(now_ms) + " " + what + who);
        };
        for (uint8_t i = 0; i < step.outcome_count; ++i) say(name_of(step.outcomes[i]));
        const uint8_t begins = step.signals & static_cast<uint8_t>(~k_signal_end);
        if ((begins & k_signal_begin_short) != 0) say("short");
        if ((begins & k_signal_begin_long) != 0) say("long");
        if ((begins & k_signal_begin_double) != 0) say("double");
        is_sound = is_sound && !step.is_fault && (begins == 0 || (held & bit) == 0);
        if (begins != 0) held |= bit;
        if ((step.signals & k_signal_end) == 0) continue;
        say("end");
        is_sound = is_sound && (held & bit) != 0;
        held &= ~bit;
    }
}

void Rig::run(std::initializer_list<Move> moves, unsigned until_ms) {
    const Move* next = moves.begin();
    for (; now_ms <= until_ms; ++now_ms) {
        for (; next != moves.end() && next->at_ms == now_ms; ++next) {
            const uint32_t bit = uint32_t{1} << next->input;
            levels = next->is_down ? levels | bit : levels & ~bit;
        }
        tick();
    }
    CHECK(next == moves.end());
}

std::vector<std::string> life(const RuleDef& rule, uint8_t gestures, std::initializer_list<Move> moves) {
    Rig rig(rule, gestures);
    const unsigned last_ms = moves.size() == 0 ? 0 : (moves.end() - 1)->at_ms;
    rig.run(moves, last_ms + 10000);
    CHECK(rig.is_sound);
    CHECK(rig.is_at_rest());
    return rig.happened;
}

}  // namespace fettle::engine::press_rig
