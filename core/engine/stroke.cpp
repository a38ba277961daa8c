#include "core/engine/stroke.hpp"

#include "core/engine/rom.hpp"

namespace fettle {
namespace engine {

namespace {
// Source: HID Usage Tables, Keyboard/Keypad page 0x07, usages 0x1E to 0x38; US legends as given there.
// Plain and shifted characters of each; NUL: none.
constexpr uint8_t k_first_printed = 0x1E;
const char k_printed[] FETTLE_ROM =
    "1!2@3#4$5%6^7&8*9(0)"                             // to 0x27
    "\0\0\0\0\0\0\0\0  -_=+[{]}\\|\0\0;:'\"`~,<.>/?";  // to 0x38
constexpr uint8_t k_printed_count = (sizeof k_printed - 1) / 2;
static_assert(k_first_printed + k_printed_count == 0x39, "one pair a usage");
}  // namespace

bool read_stroke(const Storage& storage, uint16_t at, Stroke& out) {
    uint8_t raw[3];
    if (!storage.read(storage.owner, at, raw, 1)) return false;
    if (raw[0] != k_stroke_modified) {
        const bool is_shifted = (raw[0] & k_stroke_shift) != 0;
        out = Stroke{is_shifted ? k_modifier_left_shift : uint8_t{0},
                     static_cast<uint8_t>(raw[0] & ~k_stroke_shift), 1};
        return true;
    }
    if (!storage.read(storage.owner, static_cast<uint16_t>(at + 1u), raw + 1, 2)) return false;
    out = Stroke{raw[1], raw[2], 3};
    return true;
}

Stroke against_caps_lock(const Stroke& stroke) {
    Stroke out = stroke;
    const bool is_letter = stroke.usage >= k_usage_first_letter && stroke.usage <= k_usage_last_letter;
    if (!is_letter || (stroke.modifiers & ~k_modifiers_shift) != 0) return out;
    out.modifiers = stroke.modifiers != 0 ? uint8_t{0} : k_modifier_left_shift;
    return out;
}

char stroke_char(const Stroke& stroke) {
    if ((stroke.modifiers & ~k_modifiers_shift) != 0) return '\0';
    const bool is_shifted = stroke.modifiers != 0;
    if (stroke.usage >= k_usage_first_letter && stroke.usage <= k_usage_last_letter)
        return static_cast<char>((is_shifted ? 'A' : 'a') + (stroke.usage - k_usage_first_letter));
    const uint8_t at = static_cast<uint8_t>(stroke.usage - k_first_printed);
    if (at >= k_printed_count) return '\0';
    return static_cast<char>(
        rom_u8(reinterpret_cast<const uint8_t*>(k_printed) + 2 * at + (is_shifted ? 1 : 0)));
}

}  // namespace engine
}  // namespace fettle
