#pragma once
// The few words that the character display shows. On the small board they stay in flash: everything else
// that is constant is copied to its 2.5 KB of memory.

#include <stdint.h>

namespace fettle {
namespace engine {

/// In the order of the table in words.cpp.
enum class Word : uint8_t {
    mode,
    drag,
    lock,
    next,
    hold,
    button,
    speed,
    types,
    ctrl,
    shift,
    alt,
    altgr,
    gui,
    enter,
    esc,
    back,
    tab,
    space,
    caps,
    del,
    home,
    end,
    page_up,
    page_down,
    left,
    right,
    up,
    down,
    key,
};

/// Letter `at` of a word, 0 past its end.
char word_letter(Word word, uint8_t at);

}  // namespace engine
}  // namespace fettle
