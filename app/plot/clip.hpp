#pragma once
// A line cut to a rectangle. Pure. Thread: any.

#include <span>
#include <vector>

#include "app/ui/geometry.hpp"

namespace fettle::app::plot {

/// The parts of a line that lie in the rectangle, each two points or more; where it leaves and comes back a
/// new part begins. Points with a coordinate that is no number end a part.
std::vector<std::vector<ui::Point>> clipped(std::span<const ui::Point> points, const ui::Rect& to);

}  // namespace fettle::app::plot
