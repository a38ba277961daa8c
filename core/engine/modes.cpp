#include "core/engine/modes.hpp"

namespace fettle {
namespace engine {

void Modes::reset() {
    memset(holds_, 0, sizeof holds_);
    count_ = 0;
    mode_ = 0;
}

void Modes::go_to(uint8_t mode) {
    count_ = 0;
    mode_ = mode;
}

void Modes::next(uint8_t mode_count) {
    go_to(static_cast<uint8_t>(mode_ + 1u < mode_count ? mode_ + 1u : 0u));
}

bool Modes::hold(uint8_t input, uint8_t mode) {
    if (count_ == k_max_mode_holds) return false;
    holds_[count_] = Hold{input, mode_};
    ++count_;
    mode_ = mode;
    return true;
}

void Modes::let_go(uint8_t input) {
    uint8_t at = 0;
    while (at < count_ && holds_[at].input != input) ++at;
    if (at == count_) return;
    const uint8_t back = holds_[at].back;
    --count_;
    if (at == count_) {
        mode_ = back;
        return;
    }
    for (uint8_t i = at; i < count_; ++i) holds_[i] = holds_[i + 1];
    holds_[at].back = back;
}

}  // namespace engine
}  // namespace fettle
