#pragma once
// How the pointer was moved: sums of counts and speed, with an exact pyramid of least and greatest values, 16
// to 1 a level. About 16 bytes a report that moves.

#include <cstddef>
#include <cstdint>
#include <vector>

#include "core/trace/lane.hpp"
#include "core/trace/lane_list.hpp"
#include "core/trace/pile.hpp"

namespace fettle::trace {

class MotionList {
public:
    /// A report that moves by (dx, dy), one of them not 0. A time before the last one's counts as that.
    void put(std::int64_t us, std::int16_t dx, std::int16_t dy);

    /// Exact reach over [begin_us, end_us), begin_us < end_us, sought from sample `hint` on, which is then
    /// set for the next column.
    Reach reach(Signal which, std::int64_t begin_us, std::int64_t end_us, std::size_t& hint) const;
    std::size_t find(std::int64_t us) const { return find_stamp(stamps_, us, 0); }
    std::size_t size() const { return stamps_.size(); }
    std::size_t bytes_used() const;

private:
    struct Range {
        std::int64_t least, most;
        void add(std::int64_t value);
        void add(const Range& other);
    };
    struct Node {
        Range x, y;
        std::int64_t x_end, y_end;
        std::uint16_t speed_least, speed_most;
    };
    void push(std::int64_t us, std::uint16_t speed, std::int16_t dx, std::int16_t dy);
    Node node_of_samples(std::size_t node) const;
    Node node_of_nodes(std::size_t level, std::size_t node) const;
    Range range(Signal which, std::size_t from, std::size_t to) const;
    Range range_of(Signal which, std::size_t level, std::size_t node) const;
    /// In force after sample i.
    std::int64_t value_after(Signal which, std::size_t i) const;
    std::int64_t step(Signal which, std::size_t i) const;
    std::int64_t speed_at(std::int64_t us, std::size_t before) const;

    Pile<std::uint64_t, 512> stamps_;  ///< time and speed
    Pile<std::uint32_t, 512> steps_;   ///< dx, dy; neither: the pointer came to rest
    std::vector<Pile<Node, 64>> levels_;
    std::int64_t x_ = 0, y_ = 0;
};

}  // namespace fettle::trace
