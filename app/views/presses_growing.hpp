#pragma once

#include <cstddef>
#include <cstdint>

#include "core/trace/roll.hpp"

namespace fettle::app {

/// What is told of a roll that may grow: anew only so often, so that it costs little and can be read.
struct GrowingRoll {
    const trace::Roll* roll = nullptr;  ///< only compared
    std::size_t events = 0;
    std::int64_t first_us = 0, last_us = 0;
    std::int64_t at_ms = 0;  ///< when it was looked at, on the window's clock

    /// True: look at it now. It is another roll, or it grew and a time is over that is long against what
    /// looking at every event costs.
    bool is_due(const trace::Roll& now, std::int64_t now_ms);
};

}  // namespace fettle::app
