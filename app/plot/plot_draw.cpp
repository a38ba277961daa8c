// What is drawn into a plot.
#include <imgui.h>

#include <algorithm>
#include <cmath>

#include "app/plot/clip.hpp"
#include "app/plot/plot.hpp"
#include "app/ui/imgui_compat.hpp"

namespace fettle::app::plot {

namespace {

using ui::to_im;

/// One primitive must stay below 65,536 vertices (16-bit indices; an anti-aliased line takes up to four a
/// point).
constexpr std::size_t k_chunk = 4000;

ImVec2 at(ui::Point p) {
    return {p.x, p.y};
}

}  // namespace

void draw_shape(ImDrawList* draw, Shape shape, ui::Point c, float r, ui::Color color, bool is_filled,
                float thick) {
    const ImU32 ink = to_im(color);
    const ImVec2 top(c.x, c.y - r), left(c.x - r, c.y), right(c.x + r, c.y), low(c.x, c.y + r);
    const ImVec2 low_left(c.x - r, c.y + r), low_right(c.x + r, c.y + r);
    const ImVec2 top_left(c.x - r, c.y - r), top_right(c.x + r, c.y - r);
    switch (shape) {
        case Shape::circle:
            if (is_filled) return draw->AddCircleFilled(at(c), r, ink);
            return draw->AddCircle(at(c), r, ink, 0, thick);
        case Shape::square:
            if (is_filled) return draw->AddRectFilled(top_left, low_right, ink);
            return draw->AddRect(top_left, low_right, ink, 0, 0, thick);
        case Shape::triangle:
            if (is_filled) return draw->AddTriangleFilled(top, low_left, low_right, ink);
            return draw->AddTriangle(top, low_left, low_right, ink, thick);
        case Shape::diamond:
            if (is_filled) return draw->AddQuadFilled(top, right, low, left, ink);
            return draw->AddQuad(top, right, low, left, ink, thick);
        case Shape::cross:
            draw->AddLine(top_left, low_right, ink, thick);
            draw->AddLine(top_right, low_left, ink, thick);
            return;
    }
}

void Plot::polyline(std::span<const ui::Point> points, const Pen& pen) {
    const float thick = pen.thick * ui_.scale();
    std::vector<ImVec2> chunk;
    for (const auto& piece : dashed(points, dash_pattern(pen.dash), ui_.scale())) {
        for (std::size_t from = 0; from + 1 < piece.size(); from += k_chunk) {
            const std::size_t count = std::min(k_chunk + 1, piece.size() - from);
            chunk.clear();
            for (std::size_t i = 0; i < count; ++i) chunk.push_back(at(piece[from + i]));
            draw_->AddPolyline(chunk.data(), static_cast<int>(count), to_im(pen.color), 0, thick);
        }
    }
}

void Plot::line(std::span<const Sample> samples, const Pen& pen) {
    const auto columns = static_cast<std::size_t>(std::max(1.0f, inner_.w));
    std::vector<ui::Point> points;
    for (const Sample& s : decimate(samples, x_.range, columns)) points.push_back({x_px(s.x), y_px(s.y)});
    // A little is let over the edges, so that a line along one is whole.
    const float over = pen.thick * ui_.scale();
    const ui::Rect room{inner_.x, inner_.y - over, inner_.w, inner_.h + 2 * over};
    // Where it goes up and down within most columns, dashes are not seen, but cost.
    Pen drawn = pen;
    if (points.size() > 2 * columns) drawn.dash = 0;
    for (const auto& part : clipped(points, room)) polyline(part, drawn);
}

void Plot::steps(std::span<const Sample> samples, const Pen& pen, bool goes_on) {
    std::vector<Sample> corners;
    for (const Sample& s : samples) {
        if (!corners.empty()) corners.push_back({s.x, corners.back().y});
        corners.push_back(s);
    }
    if (goes_on && !corners.empty() && corners.back().x < x_.range.to)
        corners.push_back({x_.range.to, corners.back().y});
    line(corners, pen);
}

void Plot::column(std::size_t i, std::size_t count, double least, double most, const Pen& pen) {
    if (count == 0 || i >= count) return;
    const float wide = inner_.w / static_cast<float>(count);
    const float left = inner_.x + wide * static_cast<float>(i);
    const float half = pen.thick * ui_.scale() / 2;
    const float top = std::max(inner_.y, y_px(most) - half);
    const float bottom = std::min(inner_.bottom(), y_px(least) + half);
    if (bottom > top) draw_->AddRectFilled(ImVec2(left, top), ImVec2(left + wide, bottom), to_im(pen.color));
}

void Plot::bars(std::span<const Bar> bars, const Pen& pen) {
    for (const Bar& bar : bars) {
        const float left = std::max(inner_.x, x_px(std::min(bar.from, bar.to)));
        const float right = std::min(inner_.right(), x_px(std::max(bar.from, bar.to)));
        const float base = std::clamp(y_px(0), inner_.y, inner_.bottom());
        const float top = std::clamp(y_px(bar.height), inner_.y, inner_.bottom());
        if (right <= left || top >= base) continue;
        // A hair between neighbours, as long as there is room for it.
        const float gap = right - left > 3 * ui_.scale() ? ui_.scale() : 0;
        draw_->AddRectFilled(ImVec2(left, top), ImVec2(right - gap, base), to_im(pen.color));
    }
}

void Plot::band(double from, double to, const Pen& pen, std::string_view label) {
    const float left = std::clamp(x_px(from), inner_.x, inner_.right());
    const float right = std::clamp(x_px(to), inner_.x, inner_.right());
    if (right <= left) return;
    const ImU32 ink = to_im(pen.color);
    draw_->PushClipRect(ImVec2(left, inner_.y), ImVec2(right, inner_.bottom()), true);
    const float apart = 12 * ui_.scale();
    for (float x = left - inner_.h; x < right; x += apart)
        draw_->AddLine(ImVec2(x, inner_.bottom()), ImVec2(x + inner_.h, inner_.y), ink, ui_.scale());
    draw_->PopClipRect();
    draw_->AddLine(ImVec2(left, inner_.y), ImVec2(left, inner_.bottom()), ink, ui_.scale());
    draw_->AddLine(ImVec2(right, inner_.y), ImVec2(right, inner_.bottom()), ink, ui_.scale());
    place_label((left + right) / 2, inner_.bottom() - line_px_ * 1.2f, label, pen);
}

/// Centred on x, kept inside, on a ground of its own so that it can be read.
void Plot::place_label(float x, float y, std::string_view label, const Pen& pen) {
    if (label.empty()) return;
    const char* end = label.data() + label.size();
    const ImVec2 size = ImGui::CalcTextSize(label.data(), end, false, -1);
    const float pad = ui_.pad() / 2;
    const float left =
        std::clamp(x - size.x / 2, outer_.x + pad, std::max(outer_.x + pad, outer_.right() - size.x - pad));
    const float top = std::clamp(y, outer_.y, std::max(outer_.y, outer_.bottom() - size.y));
    draw_->PushClipRect(ImVec2(outer_.x, outer_.y), ImVec2(outer_.right(), outer_.bottom()), true);
    draw_->AddRectFilled(ImVec2(left - pad, top), ImVec2(left + size.x + pad, top + size.y),
                         to_im(ui_.theme().plot));
    draw_->AddRect(ImVec2(left - pad, top), ImVec2(left + size.x + pad, top + size.y), to_im(pen.color), 0, 0,
                   ui_.scale());
    draw_->AddText(ImVec2(left, top), to_im(ui_.theme().text), label.data(), end);
    draw_->PopClipRect();
}

void Plot::mark(double x, double y, Shape shape, const Pen& pen, std::string_view label) {
    if (!x_.range.contains(x)) return;
    const float r = 7 * std::min(ui_.scale(), 2.0f);
    const ui::Point c{x_px(x), std::clamp(y_px(y), inner_.y, inner_.bottom())};
    draw_shape(draw_, shape, c, r + 2 * ui_.scale(), ui_.theme().plot, true, 2 * ui_.scale());
    draw_shape(draw_, shape, c, r, pen.color, true, 2 * ui_.scale());
    const bool is_high = c.y - r - line_px_ * 1.2f > inner_.y;
    place_label(c.x, is_high ? c.y - r - line_px_ * 1.2f : c.y + r + 2, label, pen);
}

void Plot::upright(double x, const Pen& pen, std::string_view label) {
    if (!x_.range.contains(x)) return;
    const ui::Point ends[] = {{x_px(x), inner_.y}, {x_px(x), inner_.bottom()}};
    polyline(ends, pen);
    place_label(ends[0].x, inner_.y, label, pen);
}

void Plot::threshold(const Threshold& threshold, bool is_chosen, const Pen& pen) {
    if (!x_.range.contains(threshold.at)) return;
    Pen thicker = pen;
    if (is_chosen) thicker.thick *= 2;
    upright(threshold.at, thicker, threshold.label);
    const float r = 8 * std::min(ui_.scale(), 2.0f);
    const ui::Point grip{x_px(threshold.at), inner_.bottom() - r};
    draw_shape(draw_, Shape::diamond, grip, r, is_chosen ? ui_.theme().focus : pen.color, true,
               2 * ui_.scale());
}

void Plot::crosshair(double x, std::optional<double> y) {
    if (!x_.range.contains(x)) return;
    const ImU32 ink = to_im(ui_.theme().focus);
    const float px = x_px(x);
    draw_->AddLine(ImVec2(px, inner_.y), ImVec2(px, inner_.bottom()), ink, 1.5f * ui_.scale());
    if (!y || !y_.range.contains(*y)) return;
    draw_->AddLine(ImVec2(inner_.x, y_px(*y)), ImVec2(inner_.right(), y_px(*y)), ink, ui_.scale());
    draw_shape(draw_, Shape::circle, {px, y_px(*y)}, 5 * std::min(ui_.scale(), 2.0f), ui_.theme().focus,
               false, 2 * ui_.scale());
}

}  // namespace fettle::app::plot
