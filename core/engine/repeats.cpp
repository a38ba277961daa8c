#include "core/engine/repeats.hpp"

namespace fettle {
namespace engine {

void Repeats::reset() {
    memset(inputs_, k_no_input, sizeof inputs_);
    count_ = 0;
}

FETTLE_SHARED uint8_t Repeats::find(uint8_t input) const {
    uint8_t i = 0;
    while (i < k_max_repeating && inputs_[i] != input) ++i;
    return i;
}

bool Repeats::begin(uint8_t input, const RepeatDef& repeat) {
    end(input);
    const uint8_t i = find(k_no_input);
    if (i == k_max_repeating) return false;
    const uint16_t first_ms = repeat.delay_ms > 0 ? repeat.delay_ms : repeat.interval_ms;
    left_ms_[i] = static_cast<uint16_t>(first_ms + 1u);
    inputs_[i] = input;
    ++count_;
    return true;
}

void Repeats::end(uint8_t input) {
    const uint8_t i = find(input);
    if (i == k_max_repeating) return;
    inputs_[i] = k_no_input;
    --count_;
}

void Repeats::tick() {
    for (uint8_t i = 0; i < k_max_repeating; ++i)
        if (inputs_[i] != k_no_input && left_ms_[i] > 0) --left_ms_[i];
}

uint8_t Repeats::due() const {
    for (uint8_t i = 0; i < k_max_repeating; ++i)
        if (inputs_[i] != k_no_input && left_ms_[i] == 0) return inputs_[i];
    return k_no_input;
}

void Repeats::done(uint8_t input, uint16_t interval_ms) {
    const uint8_t i = find(input);
    if (i < k_max_repeating) left_ms_[i] = interval_ms;
}

}  // namespace engine
}  // namespace fettle
