#pragma once
// Dash patterns: lines are told apart by them as well as by colour. Pure. Thread: any.

#include <array>
#include <span>
#include <vector>

#include "app/ui/geometry.hpp"

namespace fettle::app::plot {

inline constexpr int k_dashes = 6;

/// Lengths drawn and left out in turn, in px before scaling; all 0: a whole line.
using DashPattern = std::array<float, 4>;
const DashPattern& dash_pattern(int dash);  ///< 0 whole; others by remainder of k_dashes

/// The pieces of a line that are drawn, each two points or more. scale: of the pattern.
std::vector<std::vector<ui::Point>> dashed(std::span<const ui::Point> points, const DashPattern& pattern,
                                           float scale);

}  // namespace fettle::app::plot
