#pragma once
// What a frame drew, read back from its draw data: texts by the glyphs' places in the font's picture, shapes
// by the colours of their vertices.

#include <string>
#include <vector>

#include "app/ui/geometry.hpp"

namespace fettle::app::test {

/// One run of glyphs of a line. Letters that no font has are left out.
struct DrawnText {
    std::string text;
    ui::Rect rect;
};
/// Of the current context's last frame, in the order of drawing.
std::vector<DrawnText> drawn_texts();
bool has_drawn(const std::string& text);

/// Corners of triangles of exactly that colour, opaque, with their places.
std::vector<ui::Point> drawn_points(ui::Color color);

/// Vertices of the longest primitive chain that one index offset serves: below 65,536.
std::size_t greatest_vertex_count();

}  // namespace fettle::app::test
