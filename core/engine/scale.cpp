#include "core/engine/scale.hpp"

namespace fettle {
namespace engine {

void Scale::reset() {
    memset(held_, 0, sizeof held_);
    memset(inputs_, 0, sizeof inputs_);
    toggled_ = k_scale_one;
    count_ = 0;
}

void Scale::toggle(uint16_t permille) {
    toggled_ = toggled_ == permille ? k_scale_one : permille;
}

bool Scale::hold(uint8_t input, uint16_t permille) {
    if (count_ == k_max_scale_holds) return false;
    held_[count_] = permille;
    inputs_[count_] = input;
    ++count_;
    return true;
}

void Scale::let_go(uint8_t input) {
    uint8_t at = 0;
    while (at < count_ && inputs_[at] != input) ++at;
    if (at == count_) return;
    --count_;
    for (uint8_t i = at; i < count_; ++i) {
        held_[i] = held_[i + 1];
        inputs_[i] = inputs_[i + 1];
    }
}

}  // namespace engine
}  // namespace fettle
