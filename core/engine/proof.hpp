#pragma once
// What the profile on trial has proven by use, and what of it this profile can prove at all. The second is
// found by walking the modes that presses can reach, from the first one on, as far as the storage answers.

#include "core/engine/setup.hpp"

namespace fettle {
namespace engine {

/// What the profile on trial must have done before `keep` is offered (contract: only what the profile has).
constexpr uint8_t k_proof_clicked = 1;  ///< a click was pressed and let go, and the host read both
constexpr uint8_t k_proof_let_go = 2;   ///< a press ended and nothing was held after it
constexpr uint8_t k_proof_mode = 4;     ///< a mode was left and come back to
constexpr uint8_t k_proof_all = 7;

class Proofs {
public:
    void reset();
    /// Goes on looking through the profile; cheap once it is done. False while there is more to look at.
    bool look(const Setup& setup) { return is_known_ != 0 || look_further(setup); }
    /// All of them until look() has come to the end.
    uint8_t needed() const { return is_known_ != 0 ? needed_ : k_proof_all; }

    uint8_t reached() const { return reached_; }
    /// Nothing is left to look for.
    bool is_complete() const { return reached_ == k_proof_all; }
    void reach(uint8_t proof) { reached_ = static_cast<uint8_t>(reached_ | proof) & k_proof_all; }
    /// A press that did something is over; let_go is reached when nothing is held any more.
    void press_ended() { is_press_over_ = 1; }
    bool is_press_over() const { return is_press_over_ != 0; }
    /// A press changed the mode.
    void mode_left(uint8_t from, uint8_t to);

private:
    bool look_further(const Setup& setup);
    bool note(const Setup& setup, uint8_t number);
    bool look_at_mode(const Setup& setup, uint8_t mode);

    uint16_t reachable_;  ///< modes, a bit each
    uint16_t looked_at_;
    uint16_t left_;  ///< modes that were left by a press
    uint8_t input_;  ///< where look() stands in its mode
    uint8_t needed_;
    uint8_t reached_ : 3;
    uint8_t is_known_ : 1;
    uint8_t is_press_over_ : 1;
};

}  // namespace engine
}  // namespace fettle
