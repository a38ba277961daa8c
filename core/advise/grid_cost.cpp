#include "core/advise/grid_cost.hpp"

#include <cmath>

#include "core/advise/code_bounds.hpp"

namespace fettle::advise {

namespace {

std::vector<int> cell_of_character(const GridLayout& layout, std::size_t characters) {
    std::vector<int> cells(characters, -1);
    for (std::size_t i = 0; i < layout.cells.size(); ++i)
        if (const int c = layout.cells[i]; c != k_no_character)
            cells[static_cast<std::size_t>(c)] = static_cast<int>(i);
    return cells;
}

Estimate scaled(const Estimate& estimate, double factor) {
    return {estimate.mean * factor, estimate.sd * factor, estimate.count};
}

}  // namespace

Estimate moves_per_character(const GridLayout& layout, const TextCounts& counts) {
    const std::vector<int> cells = cell_of_character(layout, counts.size());
    Weighed all;
    for (std::size_t first = 0; first < counts.size(); ++first) {
        if (cells[first] < 0) continue;
        for (std::size_t second = 0; second < counts.size(); ++second)
            if (cells[second] >= 0)
                all.add(moves_between(layout, cells[first], cells[second]), counts.bigram(first, second));
    }
    return all.estimate();
}

Estimate least_presses_per_character(const TextCounts& counts) {
    return scaled(letter_information_after(counts), 1 / std::log2(5.0));
}

Estimate scan_steps_per_character(const GridLayout& layout, const TextCounts& counts) {
    Weighed all;
    for (std::size_t i = 0; i < layout.cells.size(); ++i) {
        if (layout.cells[i] == k_no_character) continue;
        const int cell = static_cast<int>(i);
        const int steps = cell / layout.columns + cell % layout.columns + 2;
        all.add(steps, counts.letters[static_cast<std::size_t>(layout.cells[i])]);
    }
    return all.estimate();
}

Estimate least_scan_steps_per_character(const TextCounts& counts) {
    return letter_information(counts);
}

Estimate time_per_character(const Estimate& moves, const Estimate& press) {
    const double presses = moves.mean + 1;
    const double variance = presses * press.sd * press.sd + moves.sd * moves.sd * press.mean * press.mean;
    return {presses * press.mean, std::sqrt(variance), press.count};
}

Estimate scan_ms_per_character(const GridLayout& layout, const TextCounts& counts, const ScanTimes& times) {
    const Estimate steps = scan_steps_per_character(layout, counts);
    if (steps.count == 0) return {};
    const double q = times.missed_share;
    const double misses = q / (1 - q), misses_variance = q / ((1 - q) * (1 - q));
    const double row_round = layout.rows * times.period_ms + times.first_item_extra_ms;
    const double cell_round = layout.columns * times.period_ms + times.first_item_extra_ms;
    const double mean =
        steps.mean * times.period_ms + 2 * times.first_item_extra_ms + misses * (row_round + cell_round);
    const double steps_sd = steps.sd * times.period_ms;
    const double variance =
        steps_sd * steps_sd + misses_variance * (row_round * row_round + cell_round * cell_round);
    return {mean, std::sqrt(variance), steps.count};
}

}  // namespace fettle::advise
