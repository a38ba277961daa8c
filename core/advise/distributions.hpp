#pragma once
// The few distributions that advice rests on, from Boost.Math (one .cpp knows it). Pure functions.

#include <cstddef>
#include <cstdint>
#include <optional>

namespace fettle::advise {

/// What times are taken to be spread like. Both are given by mean and standard deviation; of log_normal:
/// sigma^2 = ln(1 + sd^2 / mean^2), mu = ln(mean) - sigma^2 / 2.
enum class Spread : std::uint8_t { normal, log_normal };

/// Share of values above `value`, 0 to 1. mean > 0, sd >= 0; with sd 0 all values are the mean.
double share_above(Spread spread, double mean, double sd, double value);
/// The value that this share lies above. 0 < share < 1.
double value_below_share(Spread spread, double mean, double sd, double share);

/// Half the width of the interval that holds the true mean with this confidence, by Student's t.
/// Nothing with fewer than 2 values. 0 < confidence < 1.
std::optional<double> mean_half_width(std::size_t count, double sd, double confidence);

/// Chance that one more value of a normal sample of `count` values lies above `value`: Student's t with
/// count - 1 degrees of freedom at (value - mean) / (sd * sqrt(1 + 1 / count)), the prediction interval
/// turned round. Nothing with fewer than 2 values.
std::optional<double> next_above(std::size_t count, double mean, double sd, double value);

/// A share that was counted, with the exact interval of C. J. Clopper and E. S. Pearson (Biometrika 26,
/// 1934).
struct CountedShare {
    std::size_t hits = 0, count = 0;
    double low = 0, high = 1;  ///< with the confidence that was asked for
};
/// hits <= count. count 0: 0 to 1.
CountedShare counted_share(std::size_t hits, std::size_t count, double confidence);

}  // namespace fettle::advise
