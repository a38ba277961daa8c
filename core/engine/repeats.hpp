#pragma once
// The device's own repeat of what a press holds: first after `delay`, then every `interval`, until the press
// is over. A delay of 0 means the interval from the start: twice at once is never what was meant.

#include "core/engine/setup.hpp"

namespace fettle {
namespace engine {

constexpr uint8_t k_max_repeating = 4;  ///< presses that repeat at once; more act once and do not repeat

class Repeats {
public:
    void reset();
    /// Before the tick() of the same millisecond. False when there are too many.
    bool begin(uint8_t input, const RepeatDef& repeat);
    void end(uint8_t input);
    bool is_idle() const { return count_ == 0; }

    /// One millisecond.
    void tick();
    /// An input whose repeat is due, k_no_input when there is none. Due until done() says that it was acted
    /// on.
    uint8_t due() const;
    void done(uint8_t input, uint16_t interval_ms);

private:
    uint8_t find(uint8_t input) const;
    uint16_t left_ms_[k_max_repeating];
    uint8_t inputs_[k_max_repeating];  ///< k_no_input: free
    uint8_t count_;
};

}  // namespace engine
}  // namespace fettle
