#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "app/plot/pilot.hpp"
#include "app/views/presses_columns.hpp"

namespace fettle::app {

struct TimelineState {
    plot::PilotState pilot;
    bool follows = true;    ///< the right edge is now
    double span_us = 10e6;  ///< of what is seen while it follows
    std::optional<std::int64_t> a, b;
    int wanted = 0;           ///< what is jumped to: trace::Wanted
    bool found_none = false;  ///< the last jump met nothing
    std::string shown;        ///< recording that all this belongs to; "" what is live
    ColumnKeeper columns;
};

}  // namespace fettle::app
