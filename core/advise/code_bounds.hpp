#pragma once
// What no way of choosing characters can beat: entropy and Huffman's code (C. E. Shannon, "A mathematical
// theory of communication", Bell System Technical Journal 27, 1948; D. A. Huffman, "A method for the
// construction of minimum-redundancy codes", Proc. IRE 40, 1952). Pure functions.
// Weights: any unit, not negative; they are shares of their sum. All 0, or none: the answer is 0.

#include <cstdint>
#include <span>
#include <vector>

#include "core/advise/estimate.hpp"
#include "core/advise/text_counts.hpp"

namespace fettle::advise {

/// Mean information of a choice. Unit: bit.
double entropy_bits(std::span<const double> weights);

/// Mean length of Huffman's code whose symbols have `ways` values (2 or more): never below entropy_bits /
/// log2(ways), and less than 1 above it. Unit: symbols. One weight alone: 0.
double huffman_mean_length(std::span<const double> weights, int ways);

/// Mean place (the first is 1) when all are offered one after the other in this order.
double linear_scan_mean(std::span<const double> weights);

/// Information of one character of the text. Unit: bit. The text's own count gives it: with few characters it
/// comes out too small (by about (alphabet - 1) / (2 * count * ln 2), G. A. Miller, 1955, from memory).
Estimate letter_information(const TextCounts& counts);
/// The same of a character when the one before it is known.
Estimate letter_information_after(const TextCounts& counts);

std::vector<double> weights_of(std::span<const std::uint64_t> counts);

}  // namespace fettle::advise
