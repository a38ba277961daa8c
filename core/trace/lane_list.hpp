#pragma once
// One lane's entries with an exact pyramid over them, 16 to 1 a level. An entry is a time and a value: 0 off,
// otherwise number + 1, which begins there (a mark, or on). Appended in O(1) amortised; what lies between two
// entries is summed up in the logarithm of their number. About 8.6 bytes an entry.

#include <cstddef>
#include <cstdint>
#include <vector>

#include "core/trace/pile.hpp"

namespace fettle::trace {

constexpr std::size_t k_pyramid_step = 16;

/// Time (48 bits, offset) and 16 bits in one word that sorts by time. us: within ± k_farthest_us and a
/// little.
constexpr std::int64_t k_stamp_offset_us = std::int64_t{1} << 47;
constexpr std::uint64_t stamp(std::int64_t us, std::uint16_t value = 0) {
    return static_cast<std::uint64_t>(us + k_stamp_offset_us) << 16 | value;
}
constexpr std::int64_t stamp_us(std::uint64_t stamp) {
    return static_cast<std::int64_t>(stamp >> 16) - k_stamp_offset_us;
}
constexpr std::uint16_t stamp_value(std::uint64_t stamp) {
    return static_cast<std::uint16_t>(stamp & 0xFFFF);
}

/// What a row of entries did.
struct EdgeSum {
    std::uint32_t begins : 31;
    std::uint32_t had_off : 1;
    std::uint16_t least, most;  ///< of the values that are not 0; none: least > most

    static EdgeSum none() { return {0, 0, 0xFFFF, 0}; }
    void add(std::uint16_t value);
    void add(const EdgeSum& other);
};

class LaneList {
public:
    /// A time before the last entry's counts as that one's.
    void put(std::int64_t us, std::uint16_t value);
    /// Only where the value changes; an empty list is off.
    void set(std::int64_t us, std::uint16_t value) {
        if (value != last_value()) put(us, value);
    }

    std::size_t size() const { return stamps_.size(); }
    std::int64_t us(std::size_t i) const { return stamp_us(stamps_[i]); }
    std::uint16_t value(std::size_t i) const { return stamp_value(stamps_[i]); }
    std::uint16_t last_value() const { return stamps_.is_empty() ? 0 : stamp_value(stamps_.last()); }

    /// The first entry at or after `us`, sought from entry `hint` on (which must not lie behind it).
    std::size_t find(std::int64_t us, std::size_t hint = 0) const;
    /// Entries [from, to).
    EdgeSum sum(std::size_t from, std::size_t to) const;
    /// The first entry from `from` on that begins (is_off: that is off); size() when there is none.
    std::size_t next(std::size_t from, bool is_off) const;
    /// The last entry before `before` that begins; size() when there is none.
    std::size_t previous_begin(std::size_t before) const;
    std::size_t bytes_used() const;

private:
    EdgeSum sum_of(std::size_t level, std::size_t node) const;
    bool has(std::size_t level, std::size_t node, bool is_off) const;

    Pile<std::uint64_t, 512> stamps_;
    std::vector<Pile<EdgeSum, 128>> levels_;  ///< [0]: nodes of 16 entries
};

/// The first of a row in order of time that is at or after `us`; found in steps that double from `hint` on.
template <typename Row>
std::size_t find_stamp(const Row& row, std::int64_t us, std::size_t hint) {
    const std::uint64_t wanted = stamp(us);
    std::size_t low = hint, step = 1, high = hint;
    while (high < row.size() && row[high] < wanted) {
        low = high + 1;
        high += step;
        step *= 2;
    }
    if (high > row.size()) high = row.size();
    while (low < high) {
        const std::size_t middle = low + (high - low) / 2;
        if (row[middle] < wanted)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

/// Cuts entries [from, to) into few whole nodes: take(level, node), level 0 being the entries themselves. Not
/// in order.
template <typename Take>
void in_nodes(std::size_t from, std::size_t to, Take take) {
    for (std::size_t level = 0; from < to; ++level) {
        while (from < to && from % k_pyramid_step != 0) take(level, from++);
        while (from < to && to % k_pyramid_step != 0) take(level, --to);
        from /= k_pyramid_step;
        to /= k_pyramid_step;
    }
}

}  // namespace fettle::trace
