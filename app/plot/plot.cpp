// Where a plot's parts lie, and its axes.
#include "app/plot/plot.hpp"

#include <imgui.h>

#include <algorithm>

#include "app/ui/imgui_compat.hpp"

namespace fettle::app::plot {

namespace {

using ui::to_im;

ImVec2 size_of(std::string_view text) {
    return ImGui::CalcTextSize(text.data(), text.data() + text.size(), false, -1);
}

void text_at(ImDrawList* draw, float x, float y, ui::Color color, std::string_view text) {
    draw->AddText(ImVec2(x, y), to_im(color), text.data(), text.data() + text.size());
}

constexpr float k_legend_share = 0.4f;

}  // namespace

Pen pen(const ui::Ui& ui, int line) {
    const auto i = static_cast<std::size_t>(line < 0 ? 0 : line % ui::k_plot_lines);
    return {ui.theme().line[i], static_cast<int>(i), 2};
}

Pen quiet_pen(const ui::Ui& ui) {
    return {ui.theme().quiet, 2, 1};
}

Plot::Plot(const ui::Ui& ui, const ui::Canvas& canvas, Axis x, Axis y, std::span<const Entry> legend)
    : ui_(ui), outer_(canvas.rect), draw_(canvas.draw), x_(std::move(x)), y_(std::move(y)) {
    line_px_ = ImGui::GetTextLineHeight();
    draw_->PushClipRect(ImVec2(outer_.x, outer_.y), ImVec2(outer_.right(), outer_.bottom()), true);
    lay_out(legend);
    draw_axes();
    draw_legend(legend);
    draw_->PopClipRect();
}

void Plot::lay_out(std::span<const Entry> legend) {
    const float pad = ui_.pad();
    // The legend first: entries beside each other as far as they go.
    float x = 0, lines = legend.empty() ? 0.0f : 1.0f;
    const float room = outer_.w - 2 * pad;
    for (const Entry& entry : legend) {
        const float wide = 2.5f * line_px_ + size_of(entry.label).x + pad;
        if (x > 0 && x + wide > room) {
            x = 0;
            ++lines;
        }
        x += wide;
    }
    legend_px_ = std::min(lines * line_px_, k_legend_share * outer_.h);
    const auto measure = [](std::string_view text) { return size_of(text).x; };
    const float top = outer_.y + pad + legend_px_ + line_px_ * 0.5f;
    // Half a line for the lowest label of the y axis, then those of the x axis.
    const float bottom = outer_.bottom() - pad / 2 - line_px_ * 1.5f;
    const float high = std::max(1.0f, bottom - top);
    y_ticks_ = ticks(y_, {high, line_px_ * 0.3f, true, line_px_}, measure);
    float left = 0;
    for (const Tick& tick : y_ticks_) left = std::max(left, measure(tick.label));
    left = std::min(left, outer_.w * 0.45f) + 2 * pad;
    inner_ = {outer_.x + left, top, std::max(1.0f, outer_.w - left - 2 * pad), high};
    // Room for half of the label at the right end; ticks that are further apart are no wider.
    const TickRoom along{inner_.w, line_px_ * 0.8f};
    float half = 0;
    for (const Tick& tick : ticks(x_, along, measure)) half = std::max(half, measure(tick.label) / 2);
    inner_.w = std::max(1.0f, inner_.w - std::max(0.0f, half - pad));
    x_ticks_ = ticks(x_, {inner_.w, line_px_ * 0.8f}, measure);
}

void Plot::draw_axes() {
    const auto& theme = ui_.theme();
    const float pad = ui_.pad();
    const float thin = ui_.scale();
    for (const Tick& tick : y_ticks_) {
        const float y = y_px(tick.at);
        draw_->AddLine(ImVec2(inner_.x, y), ImVec2(inner_.right(), y), to_im(theme.grid_line), thin);
        const ImVec2 size = size_of(tick.label);
        text_at(draw_, inner_.x - pad - size.x, y - size.y / 2, theme.quiet, tick.label);
    }
    for (const Tick& tick : x_ticks_) {
        const float x = x_px(tick.at);
        draw_->AddLine(ImVec2(x, inner_.y), ImVec2(x, inner_.bottom()), to_im(theme.grid_line), thin);
        draw_->AddLine(ImVec2(x, inner_.bottom()), ImVec2(x, inner_.bottom() + pad / 2), to_im(theme.quiet),
                       thin);
        const float wide = size_of(tick.label).x;
        // A label at an end is kept whole: it slides inwards.
        const float at = std::clamp(x - wide / 2, outer_.x + pad / 2,
                                    std::max(outer_.x + pad / 2, outer_.right() - wide - pad / 2));
        text_at(draw_, at, inner_.bottom() + line_px_ / 2, theme.quiet, tick.label);
    }
    draw_->AddLine(ImVec2(inner_.x, inner_.bottom()), ImVec2(inner_.right(), inner_.bottom()),
                   to_im(theme.control_edge), 1.5f * thin);
    draw_->AddLine(ImVec2(inner_.x, inner_.y), ImVec2(inner_.x, inner_.bottom()), to_im(theme.control_edge),
                   1.5f * thin);
}

void Plot::draw_legend(std::span<const Entry> legend) {
    if (legend.empty()) return;
    const float pad = ui_.pad();
    const float left = outer_.x + pad;
    const float right = outer_.right() - pad;
    draw_->PushClipRect(ImVec2(outer_.x, outer_.y), ImVec2(outer_.right(), outer_.y + pad + legend_px_),
                        true);
    float x = left, y = outer_.y + pad / 2;
    for (const Entry& entry : legend) {
        const float wide = 2.5f * line_px_ + size_of(entry.label).x + pad;
        if (x > left && x + wide > right) {
            x = left;
            y += line_px_;
        }
        const float middle = y + line_px_ / 2;
        const ui::Point from{x, middle}, to{x + 2 * line_px_, middle};
        switch (entry.kind) {
            case Entry::Kind::line: {
                const ui::Point ends[] = {from, to};
                polyline(ends, entry.pen);
                break;
            }
            case Entry::Kind::bar:
                draw_->AddRectFilled(ImVec2(x + line_px_ * 0.5f, y + line_px_ * 0.2f),
                                     ImVec2(x + line_px_ * 1.5f, y + line_px_ * 0.85f),
                                     to_im(entry.pen.color));
                break;
            case Entry::Kind::mark:
                draw_shape(draw_, entry.shape, {x + line_px_, middle}, line_px_ * 0.35f, entry.pen.color,
                           true, 2 * ui_.scale());
                break;
        }
        text_at(draw_, x + 2.3f * line_px_, y, ui_.theme().text, entry.label);
        x += wide;
    }
    draw_->PopClipRect();
}

float Plot::x_px(double value) const {
    return inner_.x +
           static_cast<float>((value - x_.range.from) / x_.range.span() * static_cast<double>(inner_.w));
}
float Plot::y_px(double value) const {
    return inner_.bottom() -
           static_cast<float>((value - y_.range.from) / y_.range.span() * static_cast<double>(inner_.h));
}
double Plot::x_at(float px) const {
    return x_.range.from + static_cast<double>((px - inner_.x) / inner_.w) * x_.range.span();
}
double Plot::y_at(float px) const {
    return y_.range.from + static_cast<double>((inner_.bottom() - px) / inner_.h) * y_.range.span();
}

}  // namespace fettle::app::plot
