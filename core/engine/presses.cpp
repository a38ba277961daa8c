// What the inputs of one engine mean to one another; the rules of each are in press.cpp.

#include "core/engine/press.hpp"

namespace fettle {
namespace engine {
namespace {

bool was_accepted(const PressStep& step) {
    for (uint8_t i = 0; i < step.outcome_count; ++i) {
        if (step.outcomes[i] == PressOutcome::accepted) return true;
    }
    return false;
}

}  // namespace

void Presses::reset() {
    for (PressState& state : states_) state = PressState{};
    active_ = 0;
    last_input_ = other_input_ = k_no_input;
    last_ms_ = other_ms_ = 0;
}

void Presses::ignore_until_up(uint32_t levels) {
    last_input_ = other_input_ = k_no_input;
    active_ = 0;
    uint32_t bit = 1;
    for (PressState& state : states_) {
        press_ignore(state, (levels & bit) != 0);
        if (!press_is_idle(state)) active_ |= bit;
        bit <<= 1;
    }
}

uint32_t Presses::due(uint32_t levels, uint16_t now_ms) {
    if (last_input_ != k_no_input) {
        if (since16(now_ms, last_ms_) >= k_longest_guard_ms) last_input_ = k_no_input;
        if (since16(now_ms, other_ms_) >= k_longest_guard_ms) other_input_ = k_no_input;
    }
    return active_ | levels;
}

PressStep Presses::step(uint8_t input, bool is_down, uint16_t now_ms, const RuleDef& rule, uint8_t has) {
    PressState& state = states_[input];
    const bool was_up = state.contact == Contact::up;
    const PressStep step =
        press_step(state, is_down, now_ms, rule, has, is_guarded(input, now_ms, rule.guard_ms));
    if (was_up && state.contact != Contact::up) {
        // Its own does not matter while it is down.
        for (PressState& other : states_) press_end_debounce(other);
    }
    if (was_accepted(step)) note_accepted(input, now_ms);
    const uint32_t bit = static_cast<uint32_t>(1) << input;
    active_ = press_is_idle(state) ? active_ & ~bit : active_ | bit;
    return step;
}

bool Presses::is_guarded(uint8_t input, uint16_t now_ms, uint16_t guard_ms) const {
    const bool is_own = last_input_ == input;
    if ((is_own ? other_input_ : last_input_) == k_no_input) return false;
    return since16(now_ms, is_own ? other_ms_ : last_ms_) < guard_ms;
}

void Presses::note_accepted(uint8_t input, uint16_t now_ms) {
    if (last_input_ != input) {
        other_input_ = last_input_;
        other_ms_ = last_ms_;
    }
    last_input_ = input;
    last_ms_ = now_ms;
}

}  // namespace engine
}  // namespace fettle
