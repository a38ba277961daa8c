#pragma once
// One run of the layout search (layout_search.hpp). Used by it alone, and by its tests.

#include <cstdint>
#include <functional>
#include <random>
#include <vector>

#include "core/advise/grid_layout.hpp"
#include "core/advise/text_counts.hpp"

namespace fettle::advise {

/// Flows and distances by cell, so that a swap is judged by walking four rows side by side. Flows are summed
/// over both directions, and halved until every sum fits 32 bits: what that loses is below one pair in 2^20.
class SwapField {
public:
    /// The counts must be over the alphabet that the layout's places mean.
    SwapField(const GridLayout& layout, const TextCounts& counts);

    /// By how much swapping two cells changes the moves; negative is better. Unit: flows * moves.
    std::int32_t change(std::size_t a, std::size_t b) const;
    void swap(std::size_t a, std::size_t b);
    const std::vector<int>& cells() const { return cells_; }

private:
    std::size_t size_;
    std::vector<int> cells_;
    std::vector<std::int32_t> flows_;      ///< [cell * size + cell], of what stands there now
    std::vector<std::int32_t> distances_;  ///< [cell * size + cell]
};

/// Moves of the whole text that was counted: exact, the sum over its pairs.
std::uint64_t total_moves(const GridLayout& layout, const TextCounts& counts);

/// Cells that a run may swap, and how long it goes on.
struct AnnealingPlan {
    std::vector<std::size_t> free_cells;
    std::uint64_t swaps = 0;
};

/// Shuffles the free cells, cools down over plan.swaps judged swaps, then takes every swap that gains.
/// judged grows as it goes. go_on: asked every few thousand swaps; false ends the run at once (false is given
/// back and the field is worth nothing).
bool anneal(SwapField& field, const AnnealingPlan& plan, std::uint64_t seed, std::uint64_t& judged,
            const std::function<bool(std::uint64_t judged_now)>& go_on);

}  // namespace fettle::advise
