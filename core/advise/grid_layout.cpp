#include "core/advise/grid_layout.hpp"

#include <algorithm>
#include <cstdlib>
#include <numeric>

namespace fettle::advise {

namespace {

/// The cell's one character, folded; 0 for a cell that has none or several.
Result<char32_t> single_character(const profile::Cell& cell) {
    const auto* text = std::get_if<std::string>(&cell);
    if (text == nullptr) return char32_t{0};
    const auto characters = characters_of(*text);
    if (!characters) return characters.failure();
    if (characters->size() != 1) return char32_t{0};
    return is_white_space(characters->front()) ? k_word_space : folded(characters->front());
}

int around(int from, int to, int count) {
    const int straight = std::abs(from - to);
    return std::min(straight, count - straight);
}

std::vector<int> free_cells(const LayoutTask& task) {
    std::vector<int> cells;
    for (std::size_t i = 0; i < task.start.cells.size(); ++i)
        if (!task.is_fixed[i]) cells.push_back(static_cast<int>(i));
    return cells;
}

/// Puts the characters of the free cells into these cells, one after the other.
GridLayout placed(const LayoutTask& task, const std::vector<int>& characters, const std::vector<int>& cells) {
    GridLayout layout = task.start;
    for (std::size_t i = 0; i < cells.size(); ++i)
        layout.cells[static_cast<std::size_t>(cells[i])] =
            i < characters.size() ? characters[i] : k_no_character;
    return layout;
}

std::vector<int> free_characters(const LayoutTask& task) {
    std::vector<int> characters;
    for (const int cell : free_cells(task))
        if (const int c = task.start.cells[static_cast<std::size_t>(cell)]; c != k_no_character)
            characters.push_back(c);
    std::sort(characters.begin(), characters.end());
    return characters;
}

}  // namespace

int moves_between(const GridLayout& layout, int from_cell, int to_cell) {
    return around(from_cell / layout.columns, to_cell / layout.columns, layout.rows) +
           around(from_cell % layout.columns, to_cell % layout.columns, layout.columns);
}

Result<LayoutTask> layout_task(const profile::Grid& grid, const std::vector<std::pair<int, int>>& pins) {
    if (grid.rows.empty() || grid.rows.front().empty())
        return fail(Errc::out_of_range, "/grid/rows", "the grid has no cells");
    const std::size_t columns = grid.rows.front().size();
    std::vector<char32_t> by_cell;
    for (const auto& row : grid.rows) {
        if (row.size() != columns)
            return fail(Errc::out_of_range, "/grid/rows", "all rows must be equally long");
        for (const profile::Cell& cell : row) {
            const auto character = single_character(cell);
            if (!character) return character.failure();
            by_cell.push_back(*character);
        }
    }
    LayoutTask task;
    task.alphabet = by_cell;
    std::sort(task.alphabet.begin(), task.alphabet.end());
    task.alphabet.erase(std::unique(task.alphabet.begin(), task.alphabet.end()), task.alphabet.end());
    std::erase(task.alphabet, char32_t{0});
    task.start.rows = static_cast<int>(grid.rows.size());
    task.start.columns = static_cast<int>(columns);
    task.start.cells.assign(by_cell.size(), k_no_character);
    task.is_fixed.assign(by_cell.size(), false);
    std::vector<bool> is_placed(task.alphabet.size(), false);
    for (std::size_t i = 0; i < by_cell.size(); ++i) {
        const bool is_empty = std::holds_alternative<std::monostate>(grid.rows[i / columns][i % columns]);
        const auto at = static_cast<std::size_t>(
            std::lower_bound(task.alphabet.begin(), task.alphabet.end(), by_cell[i]) - task.alphabet.begin());
        if (by_cell[i] != 0 && !is_placed[at]) {
            is_placed[at] = true;
            task.start.cells[i] = static_cast<int>(at);
        } else if (!is_empty) {
            task.is_fixed[i] = true;
        }
    }
    for (const auto& [row, column] : pins)
        if (row >= 0 && row < task.start.rows && column >= 0 && column < task.start.columns)
            task.is_fixed[static_cast<std::size_t>(row) * columns + static_cast<std::size_t>(column)] = true;
    return task;
}

profile::Grid arranged(const profile::Grid& grid, const LayoutTask& task, const GridLayout& layout) {
    const auto columns = static_cast<std::size_t>(layout.columns);
    std::vector<const profile::Cell*> spelled(task.alphabet.size(), nullptr);
    for (std::size_t i = 0; i < task.start.cells.size(); ++i)
        if (const int c = task.start.cells[i]; c != k_no_character)
            spelled[static_cast<std::size_t>(c)] = &grid.rows[i / columns][i % columns];
    profile::Grid moved = grid;
    for (std::size_t i = 0; i < layout.cells.size(); ++i) {
        if (task.is_fixed[i]) continue;
        const int c = layout.cells[i];
        moved.rows[i / columns][i % columns] =
            c == k_no_character ? profile::Cell{} : *spelled[static_cast<std::size_t>(c)];
    }
    return moved;
}

GridLayout alphabet_order(const LayoutTask& task) {
    return placed(task, free_characters(task), free_cells(task));
}

Result<GridLayout> shortest_scan(const LayoutTask& task, const TextCounts& counts) {
    if (counts.alphabet != task.alphabet)
        return fail(Errc::mismatch, "counts", "counted over another alphabet than the grid's");
    std::vector<int> characters = free_characters(task);
    std::stable_sort(characters.begin(), characters.end(), [&](int a, int b) {
        return counts.letters[static_cast<std::size_t>(a)] > counts.letters[static_cast<std::size_t>(b)];
    });
    std::vector<int> cells = free_cells(task);
    const auto steps = [&](int cell) { return cell / task.start.columns + cell % task.start.columns; };
    std::stable_sort(cells.begin(), cells.end(), [&](int a, int b) { return steps(a) < steps(b); });
    return placed(task, characters, cells);
}

}  // namespace fettle::advise
