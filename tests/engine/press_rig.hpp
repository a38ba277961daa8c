#pragma once
// A few inputs on a fake clock: levels in, a plain list of what happened out.

#include <initializer_list>
#include <string>
#include <vector>

#include "core/engine/press.hpp"

namespace fettle::engine::press_rig {

/// "accepted", "too_short" ...
const char* name_of(PressOutcome outcome);

/// At `at_ms` the input goes down or up.
struct Move {
    unsigned at_ms;
    bool is_down;
    uint8_t input = 0;
};

struct Rig {
    Presses presses;
    RuleDef rules[k_max_inputs] = {};
    uint8_t has[k_max_inputs] = {};
    uint32_t levels = 0;
    uint16_t first_ms = 65000;  ///< the 16-bit clock wraps in the midst of most tests
    unsigned now_ms = 0;
    unsigned steps = 0;                 ///< steps that due() asked for
    std::vector<std::string> happened;  ///< "300 accepted", "300 short", "301 end"; "#2" after it: input 2

    Rig() { presses.reset(); }
    /// All inputs get this rule.
    explicit Rig(const RuleDef& rule, uint8_t gestures = 0);
    /// Runs up to and with until_ms, one tick a millisecond.
    void run(std::initializer_list<Move> moves, unsigned until_ms);
    void tick();
    /// True when nothing is pending or held.
    bool is_at_rest() const { return presses.is_idle() && held == 0; }
    uint32_t held = 0;     ///< begun and not ended, by input
    bool is_sound = true;  ///< no fault, no signal out of order
};

/// What happens to one input, and the proof that nothing is held afterwards: 10 s of silence follow.
std::vector<std::string> life(const RuleDef& rule, uint8_t gestures, std::initializer_list<Move> moves);

}  // namespace fettle::engine::press_rig
