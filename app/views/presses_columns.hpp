#pragma once
// The time line's columns, kept from frame to frame. Columns lie on a grid of whole columns from time 0 on,
// so that a view that moves asks the roll for the new ones only; what can still change is asked for again.
// Cost: what is new, not what is seen. Thread: the window's.

#include <array>
#include <cstdint>
#include <span>
#include <vector>

#include "core/trace/roll.hpp"

namespace fettle::app {

/// What a lane shows: columns [first, first + columns.size()), each of column_us. Valid until the next call.
struct LaneColumns {
    std::int64_t first = 0, column_us = 1;
    std::span<const trace::Column> columns;
};

class ColumnKeeper {
public:
    /// Before a frame's lanes. to_us >= from_us. least_us: a column is at least this long, at most a quarter
    /// longer: the same length for views of nearly the same span.
    void look_at(const trace::Roll& roll, std::int64_t from_us, std::int64_t to_us, double least_us);
    LaneColumns lane(const trace::Roll& roll, trace::Lane lane);
    /// Columns that the roll was asked for, all together: for tests.
    std::uint64_t asked() const { return asked_; }

private:
    struct Kept {
        std::int64_t first = 0;
        std::vector<trace::Column> columns;
        std::int64_t final_end = 0;  ///< columns before this one change no more
        std::size_t events = 0;      ///< of the roll, when it was asked
        std::int64_t last_us = 0;
    };
    void ask(const trace::Roll& roll, trace::Lane lane, Kept& kept, std::int64_t from, std::int64_t to);

    const trace::Roll* roll_ = nullptr;  ///< only compared
    std::size_t events_ = 0;
    std::int64_t first_us_ = 0, last_us_ = 0;
    std::int64_t column_us_ = 0, from_ = 0, to_ = 0;  ///< the view, in columns
    std::int64_t final_end_ = 0;
    std::array<Kept, trace::k_lane_count> kept_;
    std::uint64_t asked_ = 0;
};

}  // namespace fettle::app
