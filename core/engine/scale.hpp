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
    uint16_t permille() const { return count_ > 0 ? holds_[count_ - 1].permille : toggled_; }

    /// The same one again switches it off.
    void toggle(uint16_t permille);
    /// False when there are too many: nothing changed.
    bool hold(uint8_t input, uint16_t permille);
    /// What `input` holds, if anything, ends.
    void let_go(uint8_t input);

private:
    struct Hold {
        uint16_t permille;
        uint8_t input;
    };
    Hold holds_[k_max_scale_holds];  ///< oldest first
    uint16_t toggled_;
    uint8_t count_;
};

}  // namespace engine
}  // namespace fettle
