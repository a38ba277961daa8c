#pragma once
// Every string of the window, once, in each language: one table, a section a screen (texts/*.def).
// A row: FETTLE_TEXT(name, "English", "German"). Values stand in the rows as {} or {0}, as fmt has them, in
// every language the same ones. Thread: any. No state: the language is an argument.

#include <fmt/core.h>

#include <cstdint>
#include <string>
#include <string_view>

namespace fettle::app {

enum class Language : std::uint8_t { english, german };
inline constexpr int k_languages = 2;

enum class T : std::uint16_t {
#define FETTLE_TEXT(name, english, german) name,
#include "app/words/texts_table.inc"
#undef FETTLE_TEXT
};

/// How many rows there are. T values below it are all of them.
int text_count();
/// The row's own name, for tests and translators.
const char* text_name(T text);
const char* text_in(Language language, T text);

/// A row with its values in place. A row that does not fit its values is given as it stands.
std::string filled(const char* row, fmt::format_args values);

template <typename... Values>
std::string text_in(Language language, T text, const Values&... values) {
    return filled(text_in(language, text), fmt::make_format_args(values...));
}

}  // namespace fettle::app
