#include "core/engine/proof.hpp"

namespace fettle {
namespace engine {

namespace {
uint16_t mode_bit(uint8_t mode) {
    return static_cast<uint16_t>(static_cast<uint16_t>(1) << mode);
}
}  // namespace

void Proofs::reset() {
    memset(this, 0, sizeof *this);
    reachable_ = 1;
}

bool Proofs::look_further(const Setup& setup) {
    while (is_known_ == 0) {
        const uint16_t left = static_cast<uint16_t>(reachable_ & ~looked_at_);
        if (left == 0 || setup.mode_count == 0) {
            if ((reachable_ & ~uint16_t{1}) != 0) needed_ = static_cast<uint8_t>(needed_ | k_proof_mode);
            is_known_ = 1;
            break;
        }
        uint8_t mode = 0;
        while ((left & mode_bit(mode)) == 0) ++mode;
        if (!look_at_mode(setup, mode)) return false;
        looked_at_ = static_cast<uint16_t>(looked_at_ | mode_bit(mode));
        input_ = 0;
    }
    return true;
}

/// False when the storage was busy; goes on at the same input next time.
bool Proofs::look_at_mode(const Setup& setup, uint8_t mode) {
    for (; input_ < setup.input_count; ++input_)
        for (uint8_t gesture = 0; gesture < k_gestures; ++gesture)
            if (!note(setup, setup.number(mode, input_, static_cast<Gesture>(gesture)))) return false;
    return true;
}

bool Proofs::note(const Setup& setup, uint8_t number) {
    if (number == 0) return true;
    ActionDef action = {ActionKind::none, 0, 0, 0};
    if (!setup.action(number, action)) return false;
    needed_ = static_cast<uint8_t>(needed_ | k_proof_let_go);
    if (action.kind == ActionKind::button || action.kind == ActionKind::drag)
        needed_ = static_cast<uint8_t>(needed_ | k_proof_clicked);
    if (action.kind != ActionKind::mode) return true;
    if (static_cast<ModeStyle>(action.style) == ModeStyle::next) {
        // From here on round through all of them.
        reachable_ =
            static_cast<uint16_t>(setup.mode_count >= 16 ? 0xFFFFu : mode_bit(setup.mode_count) - 1u);
    } else if (action.a < setup.mode_count) {
        reachable_ = static_cast<uint16_t>(reachable_ | mode_bit(action.a));
    }
    return true;
}

void Proofs::mode_left(uint8_t from, uint8_t to) {
    left_ = static_cast<uint16_t>(left_ | mode_bit(from));
    if ((left_ & mode_bit(to)) != 0) reach(k_proof_mode);
}

}  // namespace engine
}  // namespace fettle
