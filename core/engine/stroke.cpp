#include "core/engine/stroke.hpp"

namespace fettle {
namespace engine {

namespace {
// Source: HID Usage Tables, Keyboard/Keypad page 0x07, usages 0x1E to 0x38; US legends as given there.
constexpr uint8_t k_first_printed = 0x1E;
constexpr uint8_t k_last_printed = 0x38;
char printed(uint8_t usage, bool is_shifted) {
    // Kept as a switch: a table would be copied to RAM by the 8-bit compiler.
    switch (usage) {
        case 0x1E: return is_shifted ? '!' : '1';
        case 0x1F: return is_shifted ? '@' : '2';
        case 0x20: return is_shifted ? '#' : '3';
        case 0x21: return is_shifted ? '$' : '4';
        case 0x22: return is_shifted ? '%' : '5';
        case 0x23: return is_shifted ? '^' : '6';
        case 0x24: return is_shifted ? '&' : '7';
        case 0x25: return is_shifted ? '*' : '8';
        case 0x26: return is_shifted ? '(' : '9';
        case 0x27: return is_shifted ? ')' : '0';
        case 0x2C: return ' ';
        case 0x2D: return is_shifted ? '_' : '-';
        case 0x2E: return is_shifted ? '+' : '=';
        case 0x2F: return is_shifted ? '{' : '[';
        case 0x30: return is_shifted ? '}' : ']';
        case 0x31: return is_shifted ? '|' : '\\';
        case 0x33: return is_shifted ? ':' : ';';
        case 0x34: return is_shifted ? '"' : '\'';
        case 0x35: return is_shifted ? '~' : '`';
        case 0x36: return is_shifted ? '<' : ',';
        case 0x37: return is_shifted ? '>' : '.';
        case 0x38: return is_shifted ? '?' : '/';
        default: return '\0';
    }
}
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
    if (stroke.usage < k_first_printed || stroke.usage > k_last_printed) return '\0';
    return printed(stroke.usage, is_shifted);
}

}  // namespace engine
}  // namespace fettle
