#pragma once
// What a person did since the last frame, in order: nothing that began and ended between two frames is lost.
// Made by the shell from the window system's events, by tests by hand.

#include <cstdint>
#include <string>
#include <vector>

#include "app/ui/geometry.hpp"

namespace fettle::app::ui {

enum class Key : std::uint8_t {
    none,
    tab,
    enter,
    space,
    escape,
    backspace,
    erase,
    left,
    right,
    up,
    down,
    home,
    end,
    page_up,
    page_down,
    f1,
    f2,
    f3,
    f4,
    f5,
    f6,
    f7,
    f8,
    f9,
    f10,
    f11,
    f12,
    a,
    c,
    q,
    v,
    x,
    y,
    z,
    plus,
    minus,
    other
};

/// One change of a key. usage: HID page 07, 0 if not known. text: what it types (UTF-8), empty for releases.
struct KeyEvent {
    Key key = Key::none;
    bool is_down = true;
    bool is_repeat = false;
    bool shift = false, control = false, alt = false;
    std::uint8_t usage = 0;
    std::string text;
};

struct Input {
    std::int64_t now_ms = 0;  ///< any clock that never goes back
    Point size{1280, 800};    ///< of the window
    Point pointer{-1, -1};    ///< outside: negative
    bool primary_down = false;
    float wheel = 0;             ///< detents, up positive
    std::vector<KeyEvent> keys;  ///< in order
};

}  // namespace fettle::app::ui
