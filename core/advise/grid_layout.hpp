#pragma once
// Which character stands in which cell of a typing grid, and what may be moved. Pure functions.

#include <string>
#include <utility>
#include <vector>

#include "core/advise/text_counts.hpp"
#include "core/base/result.hpp"
#include "core/profile/model.hpp"

namespace fettle::advise {

inline constexpr int k_no_character = -1;

/// cells: rows * columns in reading order, each a place in an alphabet or k_no_character. A character stands
/// in one cell at most.
struct GridLayout {
    int rows = 0, columns = 0;
    std::vector<int> cells;
    bool operator==(const GridLayout&) const = default;
};

/// Direction presses from one cell to another, on the shorter way past the edges (engine::Grid::move wraps).
int moves_between(const GridLayout& layout, int from_cell, int to_cell);

/// A grid as the adviser sees it.
struct LayoutTask {
    std::vector<char32_t> alphabet;  ///< its characters, folded, by code point
    GridLayout start;                ///< where they stand now
    std::vector<bool> is_fixed;      ///< by cell: what is in it (or that it is empty) stays
    bool operator==(const LayoutTask&) const = default;
};

/// pins: (row, column) of cells that the person wants left alone; those outside of the grid are no error.
/// Fixed besides: cells with a key, with more than one character, and a character's second cell (a large
/// letter beside the small one). Errors: out_of_range (no rows, rows of unequal length), garbled.
Result<LayoutTask> layout_task(const profile::Grid& grid, const std::vector<std::pair<int, int>>& pins);

/// The grid with its cells moved to where `layout`, made for this task, has them. Cells keep their spelling.
profile::Grid arranged(const profile::Grid& grid, const LayoutTask& task, const GridLayout& layout);

/// The yardstick: what may be moved, by code point, in reading order; empty cells last.
GridLayout alphabet_order(const LayoutTask& task);

/// Shortest row-column scan: the most frequent character where row + column is least, and so on (sorted both
/// ways, no other assignment has a smaller sum: rearrangement inequality, Hardy, Littlewood, Polya,
/// "Inequalities", 1934, 10.2). Equals: by code point, in reading order.
/// Errors: mismatch (counted over another alphabet).
Result<GridLayout> shortest_scan(const LayoutTask& task, const TextCounts& counts);

}  // namespace fettle::advise
