#pragma once
// How fast all motion is, in permille of what the profile says: the newest press that holds a scale, else the
// one that was toggled on, else 1000.

#include "core/engine/setup.hpp"

namespace fettle {
namespace engine {

constexpr uint16_t k_scale_one = 1000;
constexpr uint8_t k_max_scale_holds = 3;  ///< more at once are refused

class Scale {
public:
    void reset();
    uint16_t permille() const { return count_ > 0 ? held_[count_ - 1] : toggled_; }

    /// The same one again switches it off.
    void toggle(uint16_t permille);
    /// False when there are too many: nothing changed.
    bool hold(uint8_t input, uint16_t permille);
    /// What `input` holds, if anything, ends.
    void let_go(uint8_t input);

private:
    // Oldest first.
    uint16_t held_[k_max_scale_holds];
    uint8_t inputs_[k_max_scale_holds];
    uint8_t count_;
    uint16_t toggled_;
};

}  // namespace engine
}  // namespace fettle
