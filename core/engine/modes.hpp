#pragma once
// Which mode is on. A chosen mode (go to, next) stays. A mode that a press holds lasts as long as the press:
//
//   a hold ends, it is the newest   -> back to the mode from which it came
//   a hold ends, a newer one lasts  -> the mode stays; the newer one will return to where this one came from
//   a mode is chosen during a hold  -> it stays when the hold ends: what was chosen last counts

#include "core/engine/setup.hpp"

namespace fettle {
namespace engine {

constexpr uint8_t k_max_mode_holds = 4;  ///< while-held modes at once; more are refused

class Modes {
public:
    void reset();
    uint8_t mode() const { return mode_; }

    void go_to(uint8_t mode);
    /// The one after this one; after the last comes the first.
    void next(uint8_t mode_count);
    /// `input` holds `mode`. False when there are too many: nothing changed.
    bool hold(uint8_t input, uint8_t mode);
    /// What `input` holds, if anything, ends.
    void let_go(uint8_t input);

private:
    struct Hold {
        uint8_t input;
        uint8_t back;  ///< the mode to return to
    };
    Hold holds_[k_max_mode_holds];  ///< oldest first
    uint8_t count_;
    uint8_t mode_;
};

}  // namespace engine
}  // namespace fettle
