#include "core/engine/words.hpp"

#ifdef __AVR__
#include <avr/pgmspace.h>
#define FETTLE_IN_FLASH PROGMEM
#else
#define FETTLE_IN_FLASH
#endif

namespace fettle {
namespace engine {

namespace {

constexpr char k_words[] FETTLE_IN_FLASH =
    "mode\0drag\0lock\0next\0hold\0button\0speed\0types\0ctrl\0shift\0alt\0altgr\0gui\0"
    "enter\0esc\0back\0tab\0space\0caps\0del\0home\0end\0pgup\0pgdn\0left\0right\0up\0down\0key\0";

char letter(uint16_t at) {
#ifdef __AVR__
    return static_cast<char>(pgm_read_byte(k_words + at));
#else
    return k_words[at];
#endif
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
