#pragma once
// How often characters, and pairs of them, occur in running text: what a typing grid is laid out for. Word
// lists give types, not use: count text that somebody wrote.

#include <cstdint>
#include <span>
#include <string_view>
#include <vector>

#include "core/advise/characters.hpp"
#include "core/base/result.hpp"

namespace fettle::advise {

/// Counts over an alphabet. Large letters count as small ones, a run of white space as one k_word_space
/// (none at the text's beginning and end). What the alphabet does not hold is left out, and ends the pair
/// that it stands in: nobody would pick the two neighbours one after the other.
struct TextCounts {
    std::vector<char32_t> alphabet;      ///< folded, distinct, by code point
    std::vector<std::uint64_t> letters;  ///< by place in the alphabet
    std::vector<std::uint64_t> bigrams;  ///< [first * alphabet size + second]
    std::uint64_t total = 0;             ///< sum of letters
    std::uint64_t pairs = 0;             ///< sum of bigrams
    std::uint64_t left_out = 0;          ///< characters of the text that the alphabet does not hold
    bool operator==(const TextCounts&) const = default;

    std::size_t size() const { return alphabet.size(); }
    std::uint64_t bigram(std::size_t first, std::size_t second) const {
        return bigrams[first * alphabet.size() + second];
    }
    /// Place in the alphabet, or -1. Not folded.
    int place_of(char32_t character) const;
};

/// Nothing counted yet. The alphabet is folded, sorted and freed of doubles.
TextCounts no_counts(std::span<const char32_t> alphabet);

/// Adds a text of its own (no pair reaches from the text before into it). Errors: garbled (nothing is added).
Status add_text(TextCounts& counts, std::string_view utf8);

/// Errors: garbled.
Result<TextCounts> count_text(std::string_view utf8, std::span<const char32_t> alphabet);

}  // namespace fettle::advise
