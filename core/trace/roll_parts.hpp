#pragma once
// What a roll is made of: the events as packed bytes with a mark every 64 events, the lanes, and lists of
// what one jumps to. Only roll*.cpp include this.

#include <algorithm>
#include <array>

#include "core/trace/lanes.hpp"
#include "core/trace/pile.hpp"
#include "core/trace/roll.hpp"

namespace fettle::trace {

constexpr std::size_t k_events_a_mark = 64;

struct Roll::Parts {
    /// Before every 64th event.
    struct Mark {
        std::uint64_t byte = 0;      ///< where its record begins
        std::int64_t time_us = 0;    ///< of the event before it: records count from there
        std::int64_t latest_us = 0;  ///< greatest time of all events before it
    };

    Parts();
    std::uint64_t id;
    RollInfo info;
    Pile<std::uint8_t, 65536> bytes;
    Pile<Mark, 128> marks;
    Lanes lanes;
    std::array<Pile<Found, 64>, k_wanted_kinds> found;
    std::size_t size = 0;
    std::int64_t time_us = 0;    ///< of the last event
    std::int64_t first_us = 0;   ///< least
    std::int64_t latest_us = 0;  ///< greatest of an event
    std::int64_t end_us = 0;     ///< the same, or of extend_to()
    std::int64_t slip_us = 0;    ///< the most that an event lies before one that came earlier

    void keep(std::int64_t at_us, const engine::Event& event);
    std::int64_t gap_begin_us() const { return std::max(latest_us, lanes.floor_us()) + 1; }
    void note(Wanted wanted, std::int64_t at_us);
    void index(std::int64_t at_us, const engine::Event& event, std::int64_t gap_us);
    /// The record at `byte`: its size in bytes.
    std::size_t read(std::uint64_t byte, std::int64_t& delta_us, engine::Event& event) const;
};

}  // namespace fettle::trace
