#pragma once
// Rectangles and colours of the window, as plain values. Unit: px of the window, y downwards.

#include <cstdint>

namespace fettle::app::ui {

struct Point {
    float x = 0, y = 0;
    bool operator==(const Point&) const = default;
};

struct Rect {
    float x = 0, y = 0, w = 0, h = 0;
    float right() const { return x + w; }
    float bottom() const { return y + h; }
    Point centre() const { return {x + w / 2, y + h / 2}; }
    bool contains(Point p) const { return p.x >= x && p.y >= y && p.x < right() && p.y < bottom(); }
    bool operator==(const Rect&) const = default;
};

/// Opaque red, green, blue.
struct Color {
    std::uint8_t r = 0, g = 0, b = 0;
    bool operator==(const Color&) const = default;
};

}  // namespace fettle::app::ui
