#pragma once
// A histogram of times on a log axis, with lines that can be moved: by keyboard once its canvas was entered,
// by pointer always.
//
//   up, down              which line is moved; before the first one: which bin is told
//   left, right           the line by 1 ms, with shift 10 ms; or the bin before, the next bin
//   page up, page down    the line by 100 ms less, more
//   Home, End             the line to its least, its most
// Thread: the window's.

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "app/ui/ui.hpp"
#include "core/measure/press_times.hpp"

namespace fettle::app {

/// A rule's time. Unit: ms. 0: the rule is off, drawn at the left edge; between 0 and least there is nothing.
struct RuleLine {
    std::int64_t at_ms = 0, least_ms = 0, most_ms = 1;
    std::string label;  ///< short: it stands at the line
    bool operator==(const RuleLine&) const = default;
};

struct HistogramState {
    int chosen = -1;  ///< line that the arrows move, -1: none, the bins are told
    int bin = -1;     ///< that is told, -1: none
    bool is_dragging = false;
};

struct LineMoved {
    std::size_t line = 0;
    std::int64_t to_ms = 0;
    bool operator==(const LineMoved&) const = default;
};

/// What is drawn, in words: lines with their times, then the bin that is told.
std::string histogram_words(const ui::Ui& ui, const measure::Histogram& histogram,
                            std::span<const RuleLine> lines, const HistogramState& state);

/// A time in ms: "off" at 0.
std::string rule_ms_words(const ui::Ui& ui, std::int64_t ms);

/// One frame. Cost: its bins.
std::optional<LineMoved> histogram_canvas(ui::Ui& ui, std::string_view id, std::string_view label,
                                          const measure::Histogram& histogram,
                                          std::span<const RuleLine> lines, HistogramState& state);

}  // namespace fettle::app
