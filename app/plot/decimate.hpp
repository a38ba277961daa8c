#pragma once
// Many samples, few columns of pixels: what is drawn of a line is exact, its cost is the columns'. Thread:
// pure functions.

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "app/plot/axis.hpp"

namespace fettle::app::plot {

struct Sample {
    double x = 0, y = 0;
    bool operator==(const Sample&) const = default;
};

/// The samples to draw in `columns` columns of x: of each column the first, the least, the greatest and the
/// last one, in their order, and one on either side of the range, so that the line reaches its edges. At most
/// 4 * columns + 2. samples: sorted by x. Samples that share a column with nobody stay as they are.
std::vector<Sample> decimate(std::span<const Sample> samples, Range x, std::size_t columns);

/// y of the line at x (straight between samples); nothing outside of them.
std::optional<double> value_at(std::span<const Sample> samples, double x);
/// y of the last sample at or before x: for what stands until it changes.
std::optional<double> step_at(std::span<const Sample> samples, double x);

/// Least and greatest y; nothing when there are no samples.
std::optional<Range> reach(std::span<const Sample> samples);

}  // namespace fettle::app::plot
