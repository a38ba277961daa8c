#pragma once
// Counts and grids that several tests of the adviser use.

#include <algorithm>
#include <array>
#include <cstdint>
#include <random>
#include <string>
#include <vector>

#include "core/advise/grid_layout.hpp"
#include "core/advise/text_counts.hpp"

namespace fettle::advise::testing {

/// English letters a to z in thousandths of a percent. Source: R. E. Lewand, "Cryptological Mathematics",
/// Mathematical Association of America 2000, as widely printed; values from memory.
inline constexpr std::array<std::uint64_t, 26> k_lewand = {
    8167, 1492, 2782, 4253, 12702, 2228, 2015, 6094, 6966, 153,  772, 4025, 2406,
    6749, 7507, 1929, 95,   5987,  6327, 9056, 2758, 978,  2360, 150, 1974, 74};

inline TextCounts lewand_counts() {
    TextCounts counts = no_counts(std::vector<char32_t>{});
    for (std::size_t i = 0; i < k_lewand.size(); ++i) {
        counts.alphabet.push_back(static_cast<char32_t>(U'a' + i));
        counts.letters.push_back(k_lewand[i]);
        counts.total += k_lewand[i];
    }
    counts.bigrams.resize(26 * 26);
    return counts;
}

/// A grid of these columns whose cells are the ASCII characters of `text`, '_' an empty cell.
inline profile::Grid grid_of(const std::string& text, std::size_t columns) {
    profile::Grid grid;
    for (std::size_t i = 0; i < text.size(); ++i) {
        if (i % columns == 0) grid.rows.emplace_back();
        grid.rows.back().push_back(text[i] == '_' ? profile::Cell{} : profile::Cell{std::string(1, text[i])});
    }
    return grid;
}

inline LayoutTask task_of(const std::string& text, std::size_t columns,
                          const std::vector<std::pair<int, int>>& pins = {}) {
    return layout_task(grid_of(text, columns), pins).value();
}

/// Counts over the task's alphabet with bigrams of 0 to 99, about half of them 0, by a seed.
inline TextCounts random_counts(const LayoutTask& task, std::uint64_t seed) {
    TextCounts counts = no_counts(task.alphabet);
    std::mt19937_64 draw(seed);
    for (std::size_t i = 0; i < counts.size(); ++i)
        for (std::size_t j = 0; j < counts.size(); ++j) {
            const std::uint64_t count = draw() % 2 == 0 ? 0 : draw() % 100;
            counts.bigrams[i * counts.size() + j] = count;
            counts.letters[j] += count;
            counts.pairs += count;
        }
    counts.total = counts.pairs;
    return counts;
}

/// The layout's characters as text, '_' for an empty cell; ASCII alphabets only.
inline std::string spelled(const LayoutTask& task, const GridLayout& layout) {
    std::string text;
    for (const int cell : layout.cells)
        text +=
            cell == k_no_character ? '_' : static_cast<char>(task.alphabet[static_cast<std::size_t>(cell)]);
    return text;
}

}  // namespace fettle::advise::testing
