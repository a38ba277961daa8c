#pragma once
// An axis: what it measures, the range that is seen, where its ticks stand. Pure: no drawing. Thread: any.

#include <cstdint>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

namespace fettle::app::plot {

/// What stands on an axis. time: values are us, labels run from us to hours; plain: numbers with `unit`.
enum class Quantity : std::uint8_t { time, plain };

struct Range {
    double from = 0, to = 1;  ///< from < to
    double span() const { return to - from; }
    bool contains(double at) const { return at >= from && at <= to; }
    bool operator==(const Range&) const = default;
};

struct Axis {
    Range range;
    Quantity quantity = Quantity::plain;
    std::string unit = {};     ///< of plain: "counts"; "" if none
    char decimal_point = '.';  ///< ',' in German
    bool only_whole = false;   ///< of plain: no ticks between whole numbers
    std::string name = {};     ///< what it is, for words: "hold time"
};

struct Tick {
    double at = 0;
    std::string label;
    bool operator==(const Tick&) const = default;
};

/// How wide a label is. Unit: px.
using Measure = std::function<float(std::string_view)>;

/// Ticks inside the range, in order, at steps of 1, 2 or 5 times a power of ten (time from a minute on: 1, 2,
/// 5, 10, 20, 30 and the same of hours): the closest of those steps whose labels keep `gap_px` between them.
/// length_px: of the whole range on screen. across: labels lie across the axis (a vertical one), then each
/// takes `line_px`. At least one tick where the range holds a multiple of its step; labels never overlap.
struct TickRoom {
    float length_px = 0, gap_px = 0;
    bool is_vertical = false;
    float line_px = 0;  ///< height of a label, vertical axes only
};
std::vector<Tick> ticks(const Axis& axis, const TickRoom& room, const Measure& measure);

/// The next longer step: 1, 2, 5, 10 ...; of time also 10, 20, 30 s and min. Unit: the axis's.
double next_step(Quantity quantity, double step);
/// The shortest step of at least `least`.
double step_from(Quantity quantity, double least);

/// A value in words, fine enough to tell neighbours `step` apart: "1.25 s", "1:03:20.5 h", "12 counts".
std::string value_words(const Axis& axis, double value, double step);

/// A range that holds 0 to `most` with a round end at least 5 % above it; most <= 0 gives 0 to 1.
Range from_zero(double most);

}  // namespace fettle::app::plot
