#include "app/words/texts.hpp"

#include <fmt/format.h>

#include <iterator>

namespace fettle::app {

namespace {

struct Row {
    const char* name;
    const char* in[k_languages];
};

constexpr Row k_rows[] = {
#define FETTLE_TEXT(name, english, german) {#name, {english, german}},
#include "app/words/texts_table.inc"
#undef FETTLE_TEXT
};

}  // namespace

int text_count() {
    return static_cast<int>(std::size(k_rows));
}

const char* text_name(T text) {
    return k_rows[static_cast<std::size_t>(text)].name;
}

const char* text_in(Language language, T text) {
    return k_rows[static_cast<std::size_t>(text)].in[static_cast<std::size_t>(language)];
}

std::string filled(const char* row, fmt::format_args values) {
    try {
        return fmt::vformat(row, values);
    } catch (const fmt::format_error&) {
        return row;
    }
}

}  // namespace fettle::app
