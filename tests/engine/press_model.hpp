#pragma once
// The press rules once more, slowly: on whole time lines, with lists of intervals, and not a step at a time.
// It shares no code with press.cpp but the rule record.

#include <cstddef>
#include <vector>

#include "core/engine/press.hpp"

namespace fettle::engine::press_model {

/// One input's life. Index: tick. All three are as long as each other and end in silence that is longer than
/// any rule.
struct TimeLine {
    std::vector<uint8_t> is_down;
    std::vector<uint8_t> is_guarded;
    std::vector<uint8_t> is_other_pressed;  ///< another input went down just before this tick's step
};

/// What one tick brought, as press_step() would say it.
struct Brought {
    std::size_t tick = 0;
    uint8_t signals = 0;
    std::vector<PressOutcome> outcomes;
    bool operator==(const Brought& other) const = default;
};

/// Ticks that brought anything, in order. ms_a_tick: how far apart ticks are; all times of the rule are
/// multiples of it.
std::vector<Brought> all_that_happens(const TimeLine& line, const RuleDef& rule, uint8_t has,
                                      unsigned ms_a_tick);

/// The same from press_step(). Fails the running test on a fault, on signals out of order, and when the input
/// is not idle at the end.
std::vector<Brought> all_that_happened(const TimeLine& line, const RuleDef& rule, uint8_t has,
                                       unsigned ms_a_tick, uint16_t first_ms);

}  // namespace fettle::engine::press_model
