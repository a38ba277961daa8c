#include "core/engine/words.hpp"

#include "core/engine/rom.hpp"

namespace fettle {
namespace engine {

namespace {

constexpr char k_words[] FETTLE_ROM =
    "mode\0drag\0lock\0next\0hold\0button\0speed\0types\0ctrl\0shift\0alt\0altgr\0gui\0"
    "enter\0esc\0back\0tab\0space\0caps\0del\0home\0end\0pgup\0pgdn\0left\0right\0up\0down\0key\0";

char letter(uint16_t at) {
    return static_cast<char>(rom_u8(reinterpret_cast<const uint8_t*>(k_words) + at));
}

}  // namespace

char word_letter(Word word, uint8_t at) {
    uint16_t start = 0;
    for (uint8_t i = 0; i < static_cast<uint8_t>(word); ++start)
        if (letter(start) == '\0') ++i;
    for (uint8_t i = 0; i < at; ++i, ++start)
        if (letter(start) == '\0') return '\0';
    return letter(start);
}

}  // namespace engine
}  // namespace fettle
