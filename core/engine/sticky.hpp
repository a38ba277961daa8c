#pragma once
// StickyKeys: modifiers that stay without a finger on them. (X Keyboard Extension: StickyKeys; the second
// press locks, the third unlocks, latches add up, modifiers do not use a latch up.)
//
//   all of the pressed modifiers are | latch_then_lock | latch_only     | lock
//   ---------------------------------+-----------------+----------------+--------
//   locked                           | unlocked        | unlocked       | unlocked
//   latched (or some locked)         | locked          | no more latched| locked
//   neither                          | latched         | latched        | locked
//
// latch_only, second press: the X server leaves the latch on; here it is taken back, so that every latch can
// be undone by the button that made it.

#include "core/engine/setup.hpp"

namespace fettle {
namespace engine {

struct Sticky {
    uint8_t latched;  ///< waiting for the next key or click
    uint8_t locked;   ///< held until unlocked
};

inline Sticky press_sticky(Sticky s, LatchStyle style, uint8_t modifiers) {
    const uint8_t others = static_cast<uint8_t>(~modifiers);
    const bool is_locked = (s.locked & modifiers) == modifiers;
    const bool is_latched = ((s.latched | s.locked) & modifiers) == modifiers;
    if (is_locked) {
        s.locked = static_cast<uint8_t>(s.locked & others);
    } else if (style == LatchStyle::lock || (style == LatchStyle::latch_then_lock && is_latched)) {
        s.locked = static_cast<uint8_t>(s.locked | modifiers);
        s.latched = static_cast<uint8_t>(s.latched & others);
    } else if (is_latched) {
        s.latched = static_cast<uint8_t>(s.latched & others);
    } else {
        s.latched = static_cast<uint8_t>(s.latched | (modifiers & ~s.locked));
    }
    return s;
}

}  // namespace engine
}  // namespace fettle
