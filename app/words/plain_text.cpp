#include "app/words/plain_text.hpp"

#include <fmt/format.h>

#include <cstdint>

namespace fettle::app {

namespace {

/// The character of two or three bytes at `at`, 0 where there is none: longer and broken ones are not judged.
std::uint32_t character_at(std::string_view text, std::size_t at, std::size_t& bytes) {
    const auto byte = [&](std::size_t i) -> std::uint32_t {
        return at + i < text.size() ? static_cast<unsigned char>(text[at + i]) : 0;
    };
    bytes = 1;
    if (byte(0) < 0x80) return byte(0);
    if (byte(0) >> 5 == 6 && byte(1) >> 6 == 2) {
        bytes = 2;
        return (byte(0) & 0x1F) << 6 | (byte(1) & 0x3F);
    }
    if (byte(0) >> 4 == 14 && byte(1) >> 6 == 2 && byte(2) >> 6 == 2) {
        bytes = 3;
        return (byte(0) & 0x0F) << 12 | (byte(1) & 0x3F) << 6 | (byte(2) & 0x3F);
    }
    return 0xFFFD;
}

bool is_obeyed(std::uint32_t c) {
    if (c < 0x20) return c != '\n';
    return (c >= 0x7F && c < 0xA0) || c == 0x061C || c == 0x200E || c == 0x200F ||
           (c >= 0x2028 && c <= 0x202E) || (c >= 0x2066 && c <= 0x2069);
}

template <typename Shown>
std::string with_shown(std::string_view utf8, Shown shown) {
    std::string plain;
    for (std::size_t at = 0, bytes = 1; at < utf8.size(); at += bytes) {
        const std::uint32_t character = character_at(utf8, at, bytes);
        if (is_obeyed(character))
            plain += shown(character);
        else
            plain += utf8.substr(at, bytes);
    }
    return plain;
}

}  // namespace

std::string plain_text(std::string_view utf8) {
    return with_shown(utf8, [](std::uint32_t c) { return fmt::format("<U+{:04X}>", c); });
}

std::string plain_json(std::string_view json) {
    return with_shown(json, [](std::uint32_t c) { return fmt::format("\\u{:04x}", c); });
}

}  // namespace fettle::app
