// What the inputs of one engine mean to one another; the rules of each are in press.cpp.

#include "core/engine/bits.hpp"
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

FETTLE_SHARED void Presses::note_idle(uint8_t input) {
    set_bit(active_, input, !press_is_idle(states_[input]));
}

void Presses::reset() {
    memset(static_cast<void*>(states_), 0, sizeof states_);
    active_ = 0;
    last_input_ = other_input_ = k_no_input;
    last_ms_ = other_ms_ = 0;
}

void Presses::ignore_until_up(uint32_t levels) {
    last_input_ = other_input_ = k_no_input;
    for (uint32_t left = active_ | levels; left != 0;) {
        const uint8_t input = take_lowest(left);
        press_ignore(states_[input], has_bit(levels, input));
        note_idle(input);
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
    PressState& now = states_[input];
    const bool was_up = now.contact == Contact::up;
    const PressStep step =
        press_step(now, is_down, now_ms, rule, has, is_guarded(input, now_ms, rule.guard_ms));
    note_idle(input);
    if (was_up && now.contact != Contact::up) end_debounces();
    if (was_accepted(step)) note_accepted(input, now_ms);
    return step;
}

/// Its own does not matter while it is down.
void Presses::end_debounces() {
    for (uint32_t left = active_; left != 0;) {
        const uint8_t input = take_lowest(left);
        press_end_debounce(states_[input]);
        note_idle(input);
    }
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
