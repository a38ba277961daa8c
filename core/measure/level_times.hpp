#pragma once
// One input's level through a recording, gap by gap: what press_times and what_if both read.

#include <cstdint>
#include <functional>

#include "core/trace/roll.hpp"

namespace fettle::measure {

enum class LevelNews : std::uint8_t {
    went_down,   ///< seen to
    went_up,     ///< seen to
    is_down,     ///< found down by a snapshot, its beginning not seen
    is_up,       ///< found up by a snapshot
    gap,         ///< nothing is known from here on; the time: the last one at which it was
    hold_limit,  ///< the longest hold ended its press
    let_go,      ///< everything was released, or another variant was loaded
};

/// Calls `hear` in order, times never going back. Snapshots that tell nothing new are left out. Gives the
/// last time at which anything was known: the part's end, or that of what was recorded.
std::int64_t for_level(const trace::Roll& roll, std::uint8_t input, std::int64_t from_us, std::int64_t to_us,
                       const std::function<void(LevelNews news, std::int64_t us)>& hear);

}  // namespace fettle::measure
