#include "app/shell/key_table.hpp"

#define GLFW_INCLUDE_NONE
#include <GLFW/glfw3.h>

#include <array>
#include <utility>

#include "core/profile/evdev_codes.hpp"

namespace fettle::app {

namespace {

using ui::Key;

struct Row {
    int glfw;
    std::uint8_t usage;
    Key key = Key::other;
};

// Letters, digits and function keys stand in runs in both tables; these are the others.
constexpr Row k_rows[] = {
    {GLFW_KEY_ENTER, 0x28, Key::enter},
    {GLFW_KEY_ESCAPE, 0x29, Key::escape},
    {GLFW_KEY_BACKSPACE, 0x2A, Key::backspace},
    {GLFW_KEY_TAB, 0x2B, Key::tab},
    {GLFW_KEY_SPACE, 0x2C, Key::space},
    {GLFW_KEY_MINUS, 0x2D, Key::minus},
    {GLFW_KEY_EQUAL, 0x2E},
    {GLFW_KEY_LEFT_BRACKET, 0x2F},
    {GLFW_KEY_RIGHT_BRACKET, 0x30},
    {GLFW_KEY_BACKSLASH, 0x31},
    {GLFW_KEY_WORLD_2, 0x32},
    {GLFW_KEY_SEMICOLON, 0x33},
    {GLFW_KEY_APOSTROPHE, 0x34},
    {GLFW_KEY_GRAVE_ACCENT, 0x35},
    {GLFW_KEY_COMMA, 0x36},
    {GLFW_KEY_PERIOD, 0x37},
    {GLFW_KEY_SLASH, 0x38},
    {GLFW_KEY_CAPS_LOCK, 0x39},
    {GLFW_KEY_PRINT_SCREEN, 0x46},
    {GLFW_KEY_SCROLL_LOCK, 0x47},
    {GLFW_KEY_PAUSE, 0x48},
    {GLFW_KEY_INSERT, 0x49},
    {GLFW_KEY_HOME, 0x4A, Key::home},
    {GLFW_KEY_PAGE_UP, 0x4B, Key::page_up},
    {GLFW_KEY_DELETE, 0x4C, Key::erase},
    {GLFW_KEY_END, 0x4D, Key::end},
    {GLFW_KEY_PAGE_DOWN, 0x4E, Key::page_down},
    {GLFW_KEY_RIGHT, 0x4F, Key::right},
    {GLFW_KEY_LEFT, 0x50, Key::left},
    {GLFW_KEY_DOWN, 0x51, Key::down},
    {GLFW_KEY_UP, 0x52, Key::up},
    {GLFW_KEY_NUM_LOCK, 0x53},
    {GLFW_KEY_KP_DIVIDE, 0x54},
    {GLFW_KEY_KP_MULTIPLY, 0x55},
    {GLFW_KEY_KP_SUBTRACT, 0x56, Key::minus},
    {GLFW_KEY_KP_ADD, 0x57, Key::plus},
    {GLFW_KEY_KP_ENTER, 0x58, Key::enter},
    {GLFW_KEY_KP_0, 0x62},
    {GLFW_KEY_KP_DECIMAL, 0x63},
    {GLFW_KEY_WORLD_1, 0x64},
    {GLFW_KEY_MENU, 0x65},
    {GLFW_KEY_KP_EQUAL, 0x67},
    {GLFW_KEY_LEFT_CONTROL, 0xE0},
    {GLFW_KEY_LEFT_SHIFT, 0xE1},
    {GLFW_KEY_LEFT_ALT, 0xE2},
    {GLFW_KEY_LEFT_SUPER, 0xE3},
    {GLFW_KEY_RIGHT_CONTROL, 0xE4},
    {GLFW_KEY_RIGHT_SHIFT, 0xE5},
    {GLFW_KEY_RIGHT_ALT, 0xE6},
    {GLFW_KEY_RIGHT_SUPER, 0xE7},
};

constexpr std::uint8_t after(std::uint8_t first_usage, int steps) {
    return static_cast<std::uint8_t>(first_usage + steps);
}

/// By the place alone.
KeyMeaning at_place(int glfw) {
    if (glfw >= GLFW_KEY_A && glfw <= GLFW_KEY_Z) return {Key::other, after(0x04, glfw - GLFW_KEY_A)};
    if (glfw >= GLFW_KEY_1 && glfw <= GLFW_KEY_9) return {Key::other, after(0x1E, glfw - GLFW_KEY_1)};
    if (glfw == GLFW_KEY_0) return {Key::other, 0x27};
    if (glfw >= GLFW_KEY_F1 && glfw <= GLFW_KEY_F12)
        return {static_cast<Key>(static_cast<int>(Key::f1) + glfw - GLFW_KEY_F1),
                after(0x3A, glfw - GLFW_KEY_F1)};
    if (glfw >= GLFW_KEY_F13 && glfw <= GLFW_KEY_F24) return {Key::other, after(0x68, glfw - GLFW_KEY_F13)};
    if (glfw >= GLFW_KEY_KP_1 && glfw <= GLFW_KEY_KP_9)
        return {Key::other, after(0x59, glfw - GLFW_KEY_KP_1)};
    for (const Row& row : k_rows)
        if (row.glfw == glfw) return {row.key, row.usage};
    return {};
}

/// A place that GLFW does not name. X key codes are 8 more than the kernel's.
std::uint8_t usage_of_scancode(int scancode) {
    constexpr int k_offset = 8;
    if (scancode <= k_offset) return 0;
    for (int usage = 1; usage < 256; ++usage)
        if (profile::evdev_code(static_cast<std::uint8_t>(usage)) == scancode - k_offset)
            return static_cast<std::uint8_t>(usage);
    return 0;
}

/// Shortcuts stand where their letter is printed.
Key printed_key(std::string_view printed) {
    static constexpr std::array<std::pair<std::string_view, Key>, 9> k_printed = {{{"a", Key::a},
                                                                                   {"c", Key::c},
                                                                                   {"q", Key::q},
                                                                                   {"v", Key::v},
                                                                                   {"x", Key::x},
                                                                                   {"y", Key::y},
                                                                                   {"z", Key::z},
                                                                                   {"+", Key::plus},
                                                                                   {"-", Key::minus}}};
    for (const auto& row : k_printed)
        if (row.first == printed) return row.second;
    return Key::other;
}

Key letter_at(int glfw) {
    const char letter = static_cast<char>('a' + (glfw - GLFW_KEY_A));
    return printed_key(std::string_view(&letter, 1));
}

}  // namespace

KeyMeaning key_meaning(int glfw_key, int scancode, std::string_view printed) {
    KeyMeaning meaning = at_place(glfw_key);
    if (glfw_key == GLFW_KEY_UNKNOWN) meaning.usage = usage_of_scancode(scancode);
    const bool is_letter = glfw_key >= GLFW_KEY_A && glfw_key <= GLFW_KEY_Z;
    const bool is_keypad = glfw_key >= GLFW_KEY_KP_0 && glfw_key <= GLFW_KEY_KP_EQUAL;
    // A layout of another script prints no Latin letter there: then the place counts.
    if (is_letter && (printed.size() != 1 || printed[0] < 'a' || printed[0] > 'z'))
        meaning.key = letter_at(glfw_key);
    else if (!printed.empty() && !is_keypad && (meaning.key == Key::other || meaning.key == Key::minus))
        meaning.key = printed_key(printed);
    return meaning;
}

}  // namespace fettle::app
