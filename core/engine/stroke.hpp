#pragma once
// One stroke of a text or of the grid (encoding: setup.hpp).

#include "core/engine/setup.hpp"

namespace fettle {
namespace engine {

constexpr uint8_t k_modifier_left_shift = 0x02;
constexpr uint8_t k_modifiers_shift = 0x22;  ///< either Shift
constexpr uint8_t k_usage_first_letter = 0x04;
constexpr uint8_t k_usage_last_letter = 0x1D;

struct Stroke {
    uint8_t modifiers;
    uint8_t usage;  ///< 0: an empty cell
    uint8_t size;   ///< bytes that it takes in storage
};

/// False while the storage is busy.
bool read_stroke(const Storage& storage, uint16_t at, Stroke& out);

/// The stroke that gives the same letter while the host's Caps Lock is on: Shift turned round for letters
/// that stand alone or with Shift. Keys other than the 26 letters are left alone: what Caps Lock does to them
/// depends on the host's layout, which the device does not know (known gap).
Stroke against_caps_lock(const Stroke& stroke);

/// What a stroke types on a US layout, 0 where that is no printing character. Only for the display; another
/// layout may type another character (known gap: the image holds strokes, not characters).
char stroke_char(const Stroke& stroke);

}  // namespace engine
}  // namespace fettle
