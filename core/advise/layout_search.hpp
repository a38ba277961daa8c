#pragma once
// The layout with the fewest expected moves: characters to cells by the quadratic assignment problem, flows
// being the bigram counts, distances the moves between cells (T. C. Koopmans, M. Beckmann, Econometrica 25,
// 1957). Simulated annealing by swaps of two cells (S. Kirkpatrick, C. D. Gelatt, M. P. Vecchi, Science 220,
// 1983), each run ended by swaps that gain until none does; a swap is judged in O(cells).
// No proof of the least: the result says how its runs came out.

#include <cstdint>
#include <functional>

#include "core/advise/estimate.hpp"
#include "core/advise/grid_layout.hpp"
#include "core/advise/text_counts.hpp"

namespace fettle::advise {

struct SearchSettings {
    std::uint64_t seed = 1;
    int runs = 8;                     ///< 1 to 10,000, each from another random start
    std::uint64_t swaps_per_run = 0;  ///< judged while annealing; 0: chosen by the number of cells
    int threads = 2;                  ///< 1 or 2: no more than the machine that this is made for has
};

struct SearchResult {
    GridLayout layout;         ///< never more moves than the task's start, nor than the alphabet's order
    Estimate moves;            ///< a character, as moves_per_character gives them
    Estimate runs;             ///< the same figure over the finished runs: mean, sd, how many
    std::uint64_t judged = 0;  ///< swaps that were judged in those runs
    bool is_complete = true;   ///< false: stopped before all runs were done
};

/// Called on the caller's own thread, a few times a second, with the share done, 0 to 1. False: stop soon,
/// with the best of the runs that are finished.
using SearchProgress = std::function<bool(double done)>;

/// Cost: about the same up to 256 cells with usual_swaps, above that it grows with their square.
/// The same task, counts, seed, runs and swaps give the same layout, however many threads. Starts one thread
/// of its own where threads is 2, and ends it before it returns.
/// Errors: mismatch (counted over another alphabet), out_of_range (settings).
Result<SearchResult> fewest_moves(const LayoutTask& task, const TextCounts& counts,
                                  const SearchSettings& settings, const SearchProgress& progress = {});

/// What swaps_per_run = 0 becomes.
std::uint64_t usual_swaps(std::size_t cells);

}  // namespace fettle::advise
