#include "core/engine/repeats.hpp"

namespace fettle {
namespace engine {

namespace {
bool has(uint8_t bits, uint8_t i) {
    return (bits & (1u << i)) != 0;
}
uint8_t bit(uint8_t i) {
    return static_cast<uint8_t>(1u << i);
}
}  // namespace

void Repeats::reset() {
    memset(left_ms_, 0, sizeof left_ms_);
    memset(inputs_, 0, sizeof inputs_);
    used_ = 0;
}

uint8_t Repeats::find(uint8_t input) const {
    for (uint8_t i = 0; i < k_max_repeating; ++i)
        if (has(used_, i) && inputs_[i] == input) return i;
    return k_max_repeating;
}

bool Repeats::begin(uint8_t input, const RepeatDef& repeat) {
    end(input);
    for (uint8_t i = 0; i < k_max_repeating; ++i) {
        if (has(used_, i)) continue;
        const uint16_t first_ms = repeat.delay_ms > 0 ? repeat.delay_ms : repeat.interval_ms;
        left_ms_[i] = static_cast<uint16_t>(first_ms + 1u);
        inputs_[i] = input;
        used_ = static_cast<uint8_t>(used_ | bit(i));
        return true;
    }
    return false;
}

void Repeats::end(uint8_t input) {
    const uint8_t i = find(input);
    if (i < k_max_repeating) used_ = static_cast<uint8_t>(used_ & ~bit(i));
}

void Repeats::tick() {
    for (uint8_t i = 0; i < k_max_repeating; ++i)
        if (has(used_, i) && left_ms_[i] > 0) --left_ms_[i];
}

uint8_t Repeats::due() const {
    for (uint8_t i = 0; i < k_max_repeating; ++i)
        if (has(used_, i) && left_ms_[i] == 0) return inputs_[i];
    return k_no_input;
}

void Repeats::done(uint8_t input, uint16_t interval_ms) {
    const uint8_t i = find(input);
    if (i < k_max_repeating) left_ms_[i] = interval_ms;
}

}  // namespace engine
}  // namespace fettle
