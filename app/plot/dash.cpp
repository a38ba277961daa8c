#include "app/plot/dash.hpp"

#include <cmath>
#include <cstddef>

namespace fettle::app::plot {

namespace {

constexpr std::array<DashPattern, k_dashes> k_patterns{{
    {0, 0, 0, 0},
    {10, 5, 10, 5},
    {2, 4, 2, 4},
    {14, 4, 2, 4},
    {20, 8, 20, 8},
    {6, 3, 2, 3},
}};

/// Where in the pattern a line is.
struct Pen {
    const DashPattern& pattern;
    float scale;
    std::size_t part = 0;
    float left;  ///< px of the part

    Pen(const DashPattern& p, float s) : pattern(p), scale(s), left(p[0] * s) {}
    bool is_down() const { return part % 2 == 0; }
    void next() {
        part = (part + 1) % pattern.size();
        left = pattern[part] * scale;
    }
};

}  // namespace

const DashPattern& dash_pattern(int dash) {
    return k_patterns[static_cast<std::size_t>(dash < 0 ? 0 : dash % k_dashes)];
}

std::vector<std::vector<ui::Point>> dashed(std::span<const ui::Point> points, const DashPattern& pattern,
                                           float scale) {
    std::vector<std::vector<ui::Point>> pieces;
    if (points.size() < 2) return pieces;
    float whole = 0;
    for (const float part : pattern) whole += part * scale;
    if (whole < 1 || pattern[0] <= 0) {
        pieces.emplace_back(points.begin(), points.end());
        return pieces;
    }
    Pen pen(pattern, scale);
    pieces.push_back({points[0]});
    for (std::size_t i = 1; i < points.size(); ++i) {
        ui::Point at = points[i - 1];
        float rest = std::hypot(points[i].x - at.x, points[i].y - at.y);
        while (rest > pen.left) {
            const float share = pen.left / rest;
            at = {at.x + (points[i].x - at.x) * share, at.y + (points[i].y - at.y) * share};
            rest -= pen.left;
            if (pen.is_down()) pieces.back().push_back(at);
            pen.next();
            if (pen.is_down()) pieces.push_back({at});
        }
        pen.left -= rest;
        if (pen.is_down()) pieces.back().push_back(points[i]);
    }
    if (pieces.back().size() < 2) pieces.pop_back();
    return pieces;
}

}  // namespace fettle::app::plot
