#pragma once
// How long an input was down and up, from recorded levels: before any press rule.
//
// Switches: to 1 ms. Remotes: a remote sends no release. The level goes up when the holdover after the last
// repeat is over, so a remote's times carry the resolution of its repeat period (45 to 114 ms) and already
// contain the holdover: a tap is never shorter than it. Say so wherever such times are shown.

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "core/trace/roll.hpp"

namespace fettle::measure {

/// A time that may be longer than what was seen of it.
struct Span {
    std::int64_t from_us = 0;
    std::int64_t long_us = 0;
    bool is_censored = false;  ///< its end was not seen: at least this long
    bool operator==(const Span&) const = default;
};

/// Of one input in a part of a recording. Times whose beginning was not seen are left out. `is_censored`: cut
/// by a gap in the telemetry, by the end of the part, or (presses) the hold limit ended the press, so that
/// how long the person meant to hold is not known: it counts up to the limit.
struct PressTimes {
    std::vector<Span> presses;  ///< down to up
    std::vector<Span> gaps;     ///< up to down
};
PressTimes press_times(const trace::Roll& roll, std::uint8_t input,
                       std::int64_t from_us = -trace::k_farthest_us,
                       std::int64_t to_us = trace::k_farthest_us + 1);
PressTimes press_times(const trace::Recording& recording, std::uint8_t input);

/// Bins of a histogram. Linear: bin i holds [least + i * width, least + (i + 1) * width). Log: the bins'
/// edges are least * (most / least) ^ (i / count), rounded to whole us; equal on a log axis.
struct Bins {
    std::vector<std::int64_t> edges_us;  ///< count + 1, ascending
};
/// width_us >= 1; count 1 to 10,000. Otherwise no bins.
Bins linear_bins(std::int64_t least_us, std::int64_t width_us, std::size_t count);
/// 1 <= least_us < most_us. Edges that would fall on the same us are left out.
Bins log_bins(std::int64_t least_us, std::int64_t most_us, std::size_t count);

struct Histogram {
    std::vector<std::int64_t> edges_us;
    std::vector<std::uint32_t> counts;    ///< by bin; whole times
    std::vector<std::uint32_t> censored;  ///< by bin: of those that were cut, where they were cut
    std::uint32_t under = 0, over = 0;    ///< outside of the bins, censored ones included
};
Histogram histogram(std::span<const Span> spans, const Bins& bins);

}  // namespace fettle::measure
