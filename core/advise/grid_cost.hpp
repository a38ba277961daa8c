#pragma once
// What a character costs on a typing grid: presses when directions move a mark, steps and time when rows and
// cells are offered one after the other. Pure functions.
//
// The mark stays where it picked last (engine::Grid): moves depend on the character before, so on bigrams.
// The very first character of a text, picked from wherever the mark stood, is not counted.

#include "core/advise/estimate.hpp"
#include "core/advise/grid_layout.hpp"
#include "core/advise/text_counts.hpp"

namespace fettle::advise {

/// Direction presses a character, the pick not counted. count: pairs of characters that both have a cell.
/// The counts must be over the alphabet that the layout's places mean.
Estimate moves_per_character(const GridLayout& layout, const TextCounts& counts);

/// Least presses a character, pick included, that four directions and a pick allow whatever the layout: a
/// character's presses are a word of a prefix code of 5 symbols, known the character before, so the
/// information of a character after another / log2 5 (Shannon 1948).
Estimate least_presses_per_character(const TextCounts& counts);

/// Row-column scan: rows from the first on, then the row's cells from the first on. Steps a character: row +
/// column, both counted from 1. count: characters that have a cell.
Estimate scan_steps_per_character(const GridLayout& layout, const TextCounts& counts);

/// Least steps that a scan allows whatever the layout: each step is answered yes or no, so the information of
/// a character / log2 2.
Estimate least_scan_steps_per_character(const TextCounts& counts);

/// Time of `presses` independent presses, each so long. sd: for one character, sqrt(E(k) s^2 + Var(k) t^2)
/// (law of total variance). Unit: that of `press`, from one press to the next. count: presses behind it.
Estimate time_per_character(const Estimate& moves, const Estimate& press);

/// How the scan runs. Units in the names.
struct ScanTimes {
    double period_ms = 1000;         ///< each item is offered so long
    double first_item_extra_ms = 0;  ///< the first row, and the first cell of a row, so much longer
    double missed_share =
        0;  ///< of items that were wanted and went by; then the round is waited out. Below 1
};

/// Time of one character, to the end of the item that was wanted: (row + column) periods, twice the first
/// item's extra, and for each miss a whole round (rows, or the row's cells): a miss follows a miss by the
/// same share, so missed / (1 - missed) rounds of each. A press that starts the scan comes on top. sd: from
/// character to character and by the misses. Unit: ms.
Estimate scan_ms_per_character(const GridLayout& layout, const TextCounts& counts, const ScanTimes& times);

}  // namespace fettle::advise
