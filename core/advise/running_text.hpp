#pragma once
// Running text that a Debian system carries, read where it lies whenever it is needed; none of it is kept.

#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include "core/base/result.hpp"

namespace fettle::advise {

/// Where a language's text lies.
struct TextPlace {
    const char* language;   ///< ISO 639-1
    const char* folder;     ///< all regular files in it are read, links are not (they repeat others)
    const char* package;    ///< Debian package that brings the folder
    const char* alphabet;   ///< UTF-8: letters and the word space
    const char* character;  ///< what kind of text it is: its bias, in plain words
};

/// English: the licence texts that every Debian system has. German: the sayings of fortunes-de, where that
/// package is installed; Debian's other German texts are compressed, marked up, or manual pages.
std::span<const TextPlace> text_places();
/// nullptr for a language without a place: the caller gives own text.
const TextPlace* text_place(std::string_view language);

/// texts: one a file, in the order of the file names, UTF-8.
struct RunningText {
    std::vector<std::string> texts;
    std::vector<std::string> files;       ///< names without the folder, one for each text
    std::vector<std::string> left_aside;  ///< files that are no UTF-8 text or cannot be read
};

inline constexpr std::size_t k_most_text_bytes = 16u << 20;  ///< of all files together

/// Lines that hold only "%" (they part one saying from the next in fortune files) and lines that begin with
/// "--" after white space (whose saying it was) are dropped; of a file with a table (.dat) only the text
/// counts. Errors: not_found (no such folder, or no text in it), too_large.
Result<RunningText> read_running_text(const std::string& folder);

}  // namespace fettle::advise
