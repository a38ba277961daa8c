#pragma once
// Figures of a sample of times, with how many values stand behind them. Pure functions.

#include <cstddef>
#include <span>

namespace fettle::measure {

/// All in the unit of the sample. With fewer than 2 values `sd` is 0 and says nothing: look at `count`.
struct Summary {
    std::size_t count = 0;
    double mean = 0;
    double sd = 0;      ///< sample standard deviation (n - 1)
    double median = 0;  ///< of an even count: mean of the two in the middle
    double least = 0, most = 0;
};

/// One pass by B. P. Welford, "Note on a method for calculating corrected sums of squares and products",
/// Technometrics 4(3), 1962. Values must be finite.
Summary summarize(std::span<const double> values);

}  // namespace fettle::measure
