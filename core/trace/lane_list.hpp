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
    std::uint32_t begins = 0;
    std::uint16_t least = 0xFFFF;  ///< number; 0xFFFF where no entry begins
    std::uint16_t most = 0;        ///< number + 1; 0 where no entry begins
    bool had_off = false;

    bool has_number() const { return most != 0; }
    void add(std::uint16_t value) {
        const auto number = static_cast<std::uint16_t>(value - 1);  // of 0: 0xFFFF
        begins += value != 0 ? 1u : 0u;
        had_off |= value == 0;
        least = number < least ? number : least;
        most = value > most ? value : most;
    }
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
    /// EdgeSum in 8 bytes.
    struct Node {
        std::uint32_t begins_and_off;  ///< begins << 1 | had_off
        std::uint16_t least, most;
    };
    static void add(EdgeSum& sum, const Node& node);
    void add_row(EdgeSum& sum, std::size_t level, std::size_t from, std::size_t to) const;
    bool has(std::size_t level, std::size_t node, bool is_off) const;

    Pile<std::uint64_t, 512> stamps_;
    std::vector<Pile<Node, 128>> levels_;  ///< [0]: nodes of 16 entries
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

/// Cuts entries [from, to) into few rows of whole nodes: take(level, from, to), level 0 being the entries
/// themselves; a row lies within 16 of a level. Not in order.
template <typename Take>
void in_rows(std::size_t from, std::size_t to, Take take) {
    for (std::size_t level = 0; from < to; ++level) {
        const std::size_t first = (from + k_pyramid_step - 1) / k_pyramid_step;
        const std::size_t last = to / k_pyramid_step;
        if (first > last) return take(level, from, to);
        if (from < first * k_pyramid_step) take(level, from, first * k_pyramid_step);
        if (last * k_pyramid_step < to) take(level, last * k_pyramid_step, to);
        from = first;
        to = last;
    }
}

}  // namespace fettle::trace
