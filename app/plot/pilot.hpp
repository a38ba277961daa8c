#pragma once
// How a plot is worked: a crosshair, the range that is seen, thresholds that can be moved; by keyboard once
// the canvas was entered, by pointer always. Pure: no drawing. Thread: any.
//
//   left, right           crosshair (or the chosen threshold) by one step; with shift ten
//   Home, End             crosshair to the ends of what is seen; threshold to its own ends
//   +, -                  nearer and farther, about the crosshair
//   page up, page down    what is seen half a width to the left, to the right
//   up, down              which is moved: the crosshair, or one of the thresholds
// Tab, Escape, Enter and Space are the window's own.

#include <optional>
#include <span>
#include <string>

#include "app/plot/axis.hpp"
#include "app/ui/ui.hpp"

namespace fettle::app::plot {

/// What a plot keeps between frames. Values in the x axis's unit.
struct PilotState {
    std::optional<Range> view = {};     ///< nothing yet: all
    std::optional<double> cursor = {};  ///< the crosshair; nothing: not shown
    int chosen = -1;                    ///< threshold that the arrows move, -1 the crosshair
    bool is_dragging = false;           ///< by pointer
    bool operator==(const PilotState&) const = default;
};

/// A line across the plot that can be moved.
struct Threshold {
    double at = 0, least = 0, most = 0, step = 1;
    std::string label = {};
};

struct PilotLimits {
    Range all;              ///< what there is to see
    double least_span = 1;  ///< of the view
    double step = 1;        ///< the crosshair's steps are multiples of it: at least this, at least a pixel
    bool follows_pointer = true;  ///< the crosshair follows a pointer over the plot
};

/// A threshold was moved: to a multiple of its step within its limits.
struct Moved {
    std::size_t index = 0;
    double to = 0;
    bool operator==(const Moved&) const = default;
};

/// The range that is seen now.
Range view_of(const PilotState& state, const PilotLimits& limits);

/// One frame: takes the canvas's keys and pointer. inner: where the plot's values lie (Plot::inner of the
/// last frame, or the canvas's rectangle). Keys that it does not know are left alone.
std::optional<Moved> work(PilotState& state, const PilotLimits& limits, const ui::Canvas& canvas,
                          const ui::Rect& inner, std::span<const Threshold> thresholds = {});

/// For controls beside the plot: the same as the keys.
void zoom(PilotState& state, const PilotLimits& limits, double factor);  ///< below 1: nearer
void pan(PilotState& state, const PilotLimits& limits, double by);       ///< in widths of the view

}  // namespace fettle::app::plot
