#include "app/plot/clip.hpp"

#include <cmath>
#include <optional>
#include <utility>

namespace fettle::app::plot {

namespace {

/// How far along a segment one edge of the rectangle lets it in and out (Liang and Barsky, 1984).
bool cut(float direction, float room, float& from, float& to) {
    if (direction == 0) return room >= 0;
    const float share = room / direction;
    if (direction < 0) {
        if (share > to) return false;
        if (share > from) from = share;
    } else {
        if (share < from) return false;
        if (share < to) to = share;
    }
    return true;
}

std::optional<std::pair<ui::Point, ui::Point>> segment(ui::Point a, ui::Point b, const ui::Rect& r) {
    const float dx = b.x - a.x, dy = b.y - a.y;
    if (!std::isfinite(dx) || !std::isfinite(dy)) return std::nullopt;
    float from = 0, to = 1;
    if (!cut(-dx, a.x - r.x, from, to) || !cut(dx, r.right() - a.x, from, to) ||
        !cut(-dy, a.y - r.y, from, to) || !cut(dy, r.bottom() - a.y, from, to))
        return std::nullopt;
    const ui::Point begin = from > 0 ? ui::Point{a.x + from * dx, a.y + from * dy} : a;
    const ui::Point end = to < 1 ? ui::Point{a.x + to * dx, a.y + to * dy} : b;
    return std::pair{begin, end};
}

}  // namespace

std::vector<std::vector<ui::Point>> clipped(std::span<const ui::Point> points, const ui::Rect& to) {
    std::vector<std::vector<ui::Point>> parts;
    bool goes_on = false;
    for (std::size_t i = 1; i < points.size(); ++i) {
        const auto piece = segment(points[i - 1], points[i], to);
        if (!piece) {
            goes_on = false;
            continue;
        }
        if (!goes_on || !(parts.back().back() == piece->first)) parts.push_back({piece->first});
        parts.back().push_back(piece->second);
        goes_on = piece->second == points[i];
    }
    return parts;
}

}  // namespace fettle::app::plot
