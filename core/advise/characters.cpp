#include "core/advise/characters.hpp"

#include <xkbcommon/xkbcommon.h>

#include <algorithm>
#include <cstdint>

#include "core/base/utf8.hpp"

namespace fettle::advise {

char32_t folded(char32_t character) {
    if (character < 0x80)
        return character >= U'A' && character <= U'Z' ? character + (U'a' - U'A') : character;
    const xkb_keysym_t symbol = xkb_utf32_to_keysym(character);
    if (symbol == XKB_KEY_NoSymbol) return character;
    const char32_t small = xkb_keysym_to_utf32(xkb_keysym_to_lower(symbol));
    return small == 0 ? character : small;
}

bool is_white_space(char32_t character) {
    return (character >= 0x09 && character <= 0x0D) || character == 0x20 || character == 0x85 ||
           character == 0xA0 || character == 0x1680 || (character >= 0x2000 && character <= 0x200A) ||
           character == 0x2028 || character == 0x2029 || character == 0x202F || character == 0x205F ||
           character == 0x3000;
}

Result<std::vector<char32_t>> characters_of(std::string_view utf8) {
    if (const size_t bad = first_bad_utf8(utf8); bad != k_all_utf8)
        return fail(Errc::garbled, "text", "byte " + std::to_string(bad) + " is no UTF-8");
    std::vector<char32_t> characters;
    characters.reserve(utf8.size());
    for (size_t at = 0; at < utf8.size();) {
        const auto first = static_cast<uint8_t>(utf8[at++]);
        const int more = first >= 0xF0 ? 3 : first >= 0xE0 ? 2 : first >= 0xC0 ? 1 : 0;
        char32_t character = more == 0 ? first : first & (0x3Fu >> more);
        for (int i = 0; i < more; ++i)
            character = (character << 6) | (static_cast<uint8_t>(utf8[at++]) & 0x3Fu);
        characters.push_back(character);
    }
    return characters;
}

Result<std::vector<char32_t>> alphabet_of(std::string_view utf8) {
    auto characters = characters_of(utf8);
    if (!characters) return characters.failure();
    for (char32_t& character : *characters)
        character = is_white_space(character) ? k_word_space : folded(character);
    std::sort(characters->begin(), characters->end());
    characters->erase(std::unique(characters->begin(), characters->end()), characters->end());
    return characters;
}

}  // namespace fettle::advise
