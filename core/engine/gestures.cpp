#include "core/engine/gestures.hpp"

namespace fettle {
namespace engine {

namespace {
constexpr uint8_t k_end = 3;
constexpr uint8_t k_input_mask = 0x1F;
static_assert(k_max_inputs <= k_input_mask + 1, "an input's number must fit its five bits");
}  // namespace

bool Gestures::add(const Waiting& waiting) {
    if (count_ == k_gesture_room) return false;
    const uint8_t what = waiting.is_end ? k_end : static_cast<uint8_t>(waiting.gesture);
    cells_[count_] = static_cast<uint8_t>(waiting.input | (what << 5));
    ++count_;
    return true;
}

Waiting Gestures::first() const {
    const uint8_t what = static_cast<uint8_t>(cells_[0] >> 5);
    const bool is_end = what == k_end;
    return Waiting{static_cast<uint8_t>(cells_[0] & k_input_mask), is_end,
                   is_end ? Gesture::short_press : static_cast<Gesture>(what)};
}

void Gestures::drop_first() {
    --count_;
    for (uint8_t i = 0; i < count_; ++i) cells_[i] = cells_[i + 1];
}

void Gestures::drop(uint8_t input) {
    uint8_t kept = 0;
    for (uint8_t i = 0; i < count_; ++i)
        if ((cells_[i] & k_input_mask) != input) cells_[kept++] = cells_[i];
    count_ = kept;
}

}  // namespace engine
}  // namespace fettle
