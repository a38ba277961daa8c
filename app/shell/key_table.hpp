#pragma once
// What a key of the window system is: for the window's own controls, and as a HID usage for profiles.

#include <cstdint>
#include <string_view>

#include "app/ui/input.hpp"

namespace fettle::app {

struct KeyMeaning {
    ui::Key key = ui::Key::other;
    std::uint8_t usage = 0;  ///< HID page 07; 0: not known
    bool operator==(const KeyMeaning&) const = default;
};

/// glfw_key: GLFW's token, which names a place on the keyboard. scancode: the system's number of that place,
/// asked where GLFW has no token. printed: what the key types in the layout in use, "" if not known; letters
/// that are shortcuts (undo, copy ...) go by it, so that they are where they are printed.
/// Sources: tokens: GLFW 3.3, "Keyboard key tokens" in its header; usages: HID Usage Tables 1.4, page 07.
KeyMeaning key_meaning(int glfw_key, int scancode, std::string_view printed);

}  // namespace fettle::app
