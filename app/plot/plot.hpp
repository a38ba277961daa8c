#pragma once
// A plot on a canvas: axes with ticks and units, lines, bars, bands, marks, a crosshair, thresholds, a
// legend. Made anew each frame; draws at once, into the canvas's own draw list, clipped to it. Scales with
// the text. What it shows must be told in words too: in the canvas's description and in live text beside it.
// Thread: the window's.

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "app/plot/axis.hpp"
#include "app/plot/dash.hpp"
#include "app/plot/decimate.hpp"
#include "app/plot/pilot.hpp"
#include "app/ui/ui.hpp"

namespace fettle::app::plot {

/// How a line is drawn. pen(ui, i) gives the i-th colour with the i-th dash pattern.
struct Pen {
    ui::Color color;
    int dash = 0;
    float thick = 2;  ///< px before scaling
};
Pen pen(const ui::Ui& ui, int line);
Pen quiet_pen(const ui::Ui& ui);

enum class Shape : std::uint8_t { circle, square, triangle, diamond, cross };

/// The legend's pictures: a line with its pen, a filled bar, a shape.
struct Entry {
    enum class Kind : std::uint8_t { line, bar, mark } kind = Kind::line;
    Pen pen;
    std::string label;
    Shape shape = Shape::circle;
};

struct Bar {
    double from = 0, to = 0;  ///< on x
    double height = 0;        ///< on y, from 0
};

class Plot {
public:
    /// Draws the axes and the legend. The legend takes lines at the top of the canvas, two fifths of it at
    /// most.
    Plot(const ui::Ui& ui, const ui::Canvas& canvas, Axis x, Axis y, std::span<const Entry> legend = {});

    const ui::Rect& inner() const { return inner_; }  ///< where values lie
    const Axis& x() const { return x_; }
    const Axis& y() const { return y_; }
    float x_px(double value) const;
    float y_px(double value) const;
    double x_at(float px) const;
    double y_at(float px) const;

    /// Sorted by x; any number of samples, decimated to columns. Whole where it fills most columns.
    void line(std::span<const Sample> samples, const Pen& pen);
    /// Each value stands until the next sample; the last one until the end of the axis if `goes_on`.
    void steps(std::span<const Sample> samples, const Pen& pen, bool goes_on = false);
    /// Exact least and greatest of each column of pixels, i from the left.
    void column(std::size_t i, std::size_t count, double least, double most, const Pen& pen);
    void bars(std::span<const Bar> bars, const Pen& pen);
    /// From top to bottom; hatched, so that it is no matter of colour.
    void band(double from, double to, const Pen& pen, std::string_view label = {});
    void mark(double x, double y, Shape shape, const Pen& pen, std::string_view label = {});
    /// An upright line with a label at the top, kept inside.
    void upright(double x, const Pen& pen, std::string_view label = {});
    /// As upright, with a handle; drawn thicker where the arrows move it.
    void threshold(const Threshold& threshold, bool is_chosen, const Pen& pen);
    void crosshair(double x, std::optional<double> y = std::nullopt);

private:
    void lay_out(std::span<const Entry> legend);
    void draw_axes();
    void draw_legend(std::span<const Entry> legend);
    void polyline(std::span<const ui::Point> points, const Pen& pen);
    void place_label(float x, float y, std::string_view label, const Pen& pen);

    const ui::Ui& ui_;
    ui::Rect outer_, inner_;
    ImDrawList* draw_;
    Axis x_, y_;
    std::vector<Tick> x_ticks_, y_ticks_;
    float line_px_ = 0, legend_px_ = 0;
};

/// A shape by itself: for the try area and lists.
void draw_shape(ImDrawList* draw, Shape shape, ui::Point centre, float radius, ui::Color color,
                bool is_filled, float thick);

}  // namespace fettle::app::plot
