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

PressState Presses::state(uint8_t input) const {
    const Packed& packed = states_[input];
    PressState state = {static_cast<Contact>(packed.contact & 0x0Fu),
                        static_cast<Shape>(packed.contact >> 4),
                        packed.flags,
                        packed.press_ms,
                        packed.up_ms,
                        0,
                        0};
    const bool is_counting = state.contact == Contact::down || state.contact == Contact::down_gap;
    (is_counting ? state.held_ds : state.first_up_ms) = packed.count;
    return state;
}

void Presses::keep(uint8_t input, const PressState& state) {
    const bool is_counting = state.contact == Contact::down || state.contact == Contact::down_gap;
    const uint8_t shape = static_cast<uint8_t>(state.shape);
    states_[input] =
        Packed{static_cast<uint8_t>(static_cast<uint8_t>(state.contact) | (shape << 4)), state.flags,
               state.press_ms, state.up_ms, is_counting ? state.held_ds : state.first_up_ms};
    set_bit(active_, input, !press_is_idle(state));
}

void Presses::reset() {
    memset(states_, 0, sizeof states_);
    active_ = 0;
    last_input_ = other_input_ = k_no_input;
    last_ms_ = other_ms_ = 0;
}

void Presses::ignore_until_up(uint32_t levels) {
    last_input_ = other_input_ = k_no_input;
    for (uint32_t left = active_ | levels; left != 0;) {
        const uint8_t input = take_lowest(left);
        PressState ignored = state(input);
        press_ignore(ignored, has_bit(levels, input));
        keep(input, ignored);
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
    PressState now = state(input);
    const bool was_up = now.contact == Contact::up;
    const PressStep step =
        press_step(now, is_down, now_ms, rule, has, is_guarded(input, now_ms, rule.guard_ms));
    keep(input, now);
    if (was_up && now.contact != Contact::up) end_debounces();
    if (was_accepted(step)) note_accepted(input, now_ms);
    return step;
}

/// Its own does not matter while it is down.
void Presses::end_debounces() {
    for (uint32_t left = active_; left != 0;) {
        const uint8_t input = take_lowest(left);
        PressState other = state(input);
        press_end_debounce(other);
        keep(input, other);
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
