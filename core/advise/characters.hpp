#pragma once
// Which characters count as the same, and which count as a space between words.

#include <string_view>
#include <vector>

#include "core/base/result.hpp"

namespace fettle::advise {

/// What all white space counts as, a run of it as one.
inline constexpr char32_t k_word_space = U' ';

/// The small letter of a large one, as the X keyboard library pairs them (Unicode simple case mapping); any
/// other character itself.
char32_t folded(char32_t character);

/// Source: Unicode character database, property White_Space.
bool is_white_space(char32_t character);

/// The characters of a text, as they are. Errors: garbled (no UTF-8; detail: which byte).
Result<std::vector<char32_t>> characters_of(std::string_view utf8);

/// The distinct characters of a text, folded, white space as k_word_space, by code point. Errors: garbled.
/// Composed letters only: a letter with a combining mark is two characters here.
Result<std::vector<char32_t>> alphabet_of(std::string_view utf8);

}  // namespace fettle::advise
