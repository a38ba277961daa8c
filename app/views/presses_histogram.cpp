#include "app/views/presses_histogram.hpp"

#include <imgui.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "app/plot/plot.hpp"
#include "app/ui/imgui_compat.hpp"

namespace fettle::app {

namespace {

using ui::Ui;

constexpr float k_grip_px = 22;     // half of the least target's 44 px
constexpr float k_bars_px = 150;    // own choice: height of the bars before scaling
constexpr double k_us_a_ms = 1000;  // unit
constexpr std::int64_t k_ten = 10, k_hundred = 100;

plot::Axis time_axis(const Ui& ui) {
    plot::Axis axis;
    axis.quantity = plot::Quantity::time;
    axis.decimal_point = ui.options().language == Language::german ? ',' : '.';
    return axis;
}

std::string time_words(const Ui& ui, std::int64_t us) {
    return plot::value_words(time_axis(ui), static_cast<double>(us), static_cast<double>(us) / 50);
}

/// Where the bars stand: x is the time's logarithm.
struct Sheet {
    ui::Rect inner;
    double least_us = 1, most_us = 2;

    float x(double us) const {
        const double share = std::log(std::max(us, least_us) / least_us) / std::log(most_us / least_us);
        return inner.x + static_cast<float>(std::clamp(share, 0.0, 1.0)) * inner.w;
    }
    /// Left of everything: off.
    std::int64_t ms_at(float px) const {
        const double share = static_cast<double>((px - inner.x) / std::max(1.0f, inner.w));
        if (share <= 0) return 0;
        return std::llround(least_us * std::pow(most_us / least_us, std::min(share, 1.0)) / k_us_a_ms);
    }
};

Sheet sheet_of(const Ui& ui, const ui::Canvas& canvas, const measure::Histogram& histogram,
               std::size_t lines) {
    const float line_px = ui.line_height() + 4;
    const float left_px = 3.2f * ImGui::GetFontSize();
    const float top_px = line_px * static_cast<float>(lines) + ui.pad() / 2;
    Sheet sheet;
    sheet.inner = {canvas.rect.x + left_px, canvas.rect.y + top_px, canvas.rect.w - left_px - ui.pad(),
                   canvas.rect.h - top_px - line_px - ui.pad() / 2};
    if (histogram.edges_us.size() < 2) return sheet;
    sheet.least_us = static_cast<double>(histogram.edges_us.front());
    sheet.most_us = static_cast<double>(histogram.edges_us.back());
    return sheet;
}

std::int64_t in_limits(const RuleLine& line, std::int64_t wanted_ms) {
    // Between off and the least there is nothing: half of the least is the way from one to the other.
    if (wanted_ms < line.least_ms) return 2 * wanted_ms < line.least_ms ? 0 : line.least_ms;
    return std::min(wanted_ms, line.most_ms);
}

std::int64_t stepped(const RuleLine& line, std::int64_t at_ms, std::int64_t by_ms) {
    const std::int64_t to = at_ms + by_ms;
    if (to >= line.least_ms) return std::min(to, line.most_ms);
    return by_ms > 0 ? line.least_ms : 0;
}

struct Hand {
    HistogramState& state;
    std::span<const RuleLine> lines;
    int bins = 0;
    std::optional<LineMoved> moved = std::nullopt;

    const RuleLine* chosen() const {
        return state.chosen >= 0 ? &lines[static_cast<std::size_t>(state.chosen)] : nullptr;
    }
    /// Several keys of one frame follow each other.
    std::int64_t now_ms() const { return moved ? moved->to_ms : chosen()->at_ms; }
    void put(std::int64_t to_ms) {
        if (to_ms != now_ms()) moved = LineMoved{static_cast<std::size_t>(state.chosen), to_ms};
    }
    void choose(int by) {
        if (moved) return;  // one line a frame
        state.chosen = std::clamp(state.chosen + by, -1, static_cast<int>(lines.size()) - 1);
    }
    void step(int sign, std::int64_t ms) {
        if (const RuleLine* line = chosen())
            put(stepped(*line, now_ms(), sign * ms));
        else if (bins > 0)
            state.bin = std::clamp(state.bin + sign, 0, bins - 1);
    }
};

void take_key(Hand& hand, const ui::KeyEvent& key) {
    if (!key.is_down || key.control || key.alt) return;
    switch (key.key) {
        case ui::Key::up: return hand.choose(-1);
        case ui::Key::down: return hand.choose(1);
        case ui::Key::left: return hand.step(-1, key.shift ? k_ten : 1);
        case ui::Key::right: return hand.step(1, key.shift ? k_ten : 1);
        case ui::Key::page_up: return hand.step(-1, k_hundred);
        case ui::Key::page_down: return hand.step(1, k_hundred);
        case ui::Key::home:
            if (hand.chosen() != nullptr) hand.put(0);
            return;
        case ui::Key::end:
            if (const RuleLine* line = hand.chosen()) hand.put(line->most_ms);
            return;
        default: return;
    }
}

void take_pointer(Hand& hand, const ui::Canvas& canvas, const Sheet& sheet) {
    if (!canvas.pointer_down) hand.state.is_dragging = false;
    if (!canvas.pointer || !canvas.pointer_down) return;
    const float x = canvas.pointer->x;
    if (!hand.state.is_dragging) {
        float closest = k_grip_px;
        for (std::size_t i = 0; i < hand.lines.size(); ++i) {
            const float apart = std::abs(sheet.x(static_cast<double>(hand.lines[i].at_ms) * k_us_a_ms) - x);
            if (apart > closest) continue;
            closest = apart;
            hand.state.chosen = static_cast<int>(i);
            hand.state.is_dragging = true;
        }
    }
    if (hand.state.is_dragging)
        if (const RuleLine* line = hand.chosen()) hand.put(in_limits(*line, sheet.ms_at(x)));
}

std::uint32_t tallest(const measure::Histogram& histogram) {
    std::uint32_t most = 0;
    for (std::size_t i = 0; i < histogram.counts.size(); ++i)
        most = std::max(most, histogram.counts[i] + histogram.censored[i]);
    return most;
}

void draw_counts(const Ui& ui, ImDrawList* draw, const Sheet& sheet, double most) {
    plot::Axis axis;
    axis.range = {0, most};
    axis.only_whole = true;
    const auto measure = [](std::string_view text) {
        return ImGui::CalcTextSize(text.data(), text.data() + text.size()).x;
    };
    for (const plot::Tick& tick : plot::ticks(axis, {sheet.inner.h, 4, true, ui.line_height()}, measure)) {
        const float y = sheet.inner.bottom() - static_cast<float>(tick.at / most) * sheet.inner.h;
        draw->AddLine(ImVec2(sheet.inner.x, y), ImVec2(sheet.inner.right(), y),
                      ui::to_im(ui.theme().grid_line));
        draw->AddText(ImVec2(sheet.inner.x - measure(tick.label) - 4, y - ui.line_height() / 2),
                      ui::to_im(ui.theme().text), tick.label.c_str());
    }
}

/// 1, 2 and 5 of each decade carry a line; a label where it has room.
void draw_times(const Ui& ui, ImDrawList* draw, const Sheet& sheet) {
    float free_from = sheet.inner.x - 2 * ImGui::GetFontSize();
    for (double decade = 1; decade <= sheet.most_us; decade *= 10)
        for (const double of : {1.0, 2.0, 5.0}) {
            const double us = decade * of;
            if (us < sheet.least_us || us > sheet.most_us) continue;
            const float x = sheet.x(us);
            draw->AddLine(ImVec2(x, sheet.inner.y), ImVec2(x, sheet.inner.bottom()),
                          ui::to_im(ui.theme().grid_line));
            const std::string label = time_words(ui, std::llround(us));
            const float wide = ImGui::CalcTextSize(label.c_str()).x;
            const float left = std::min(x - wide / 2, sheet.inner.right() - wide);
            if (left < free_from) continue;
            draw->AddText(ImVec2(left, sheet.inner.bottom() + 2), ui::to_im(ui.theme().text), label.c_str());
            free_from = left + wide + ImGui::GetFontSize();
        }
}

void draw_bars(const Ui& ui, ImDrawList* draw, const Sheet& sheet, const measure::Histogram& histogram,
               double most, int told) {
    for (std::size_t i = 0; i < histogram.counts.size(); ++i) {
        const float left = sheet.x(static_cast<double>(histogram.edges_us[i])) + 1;
        const float right = std::max(left + 1, sheet.x(static_cast<double>(histogram.edges_us[i + 1])));
        const auto y = [&](std::uint32_t count) {
            return sheet.inner.bottom() - static_cast<float>(count / most) * sheet.inner.h;
        };
        const std::uint32_t whole = histogram.counts[i], all = whole + histogram.censored[i];
        if (whole > 0)
            draw->AddRectFilled(ImVec2(left, y(whole)), ImVec2(right, sheet.inner.bottom()),
                                ui::to_im(ui.theme().line[0]));
        // What was cut is an empty frame on top: at least so long.
        if (all > whole)
            draw->AddRect(ImVec2(left, y(all)), ImVec2(right, y(whole)), ui::to_im(ui.theme().line[0]), 0, 0,
                          ui.scale());
        if (static_cast<int>(i) == told)
            draw->AddRect(ImVec2(left - 2, sheet.inner.y), ImVec2(right + 2, sheet.inner.bottom()),
                          ui::to_im(ui.theme().focus), 0, 0, 2 * ui.scale());
    }
}

void draw_line(const Ui& ui, ImDrawList* draw, const Sheet& sheet, const RuleLine& line, int row,
               bool is_chosen) {
    const plot::Pen pen = plot::pen(ui, row + 1);
    const float x = sheet.x(static_cast<double>(line.at_ms) * k_us_a_ms);
    const float row_px = ui.line_height() + 4;
    const float top = sheet.inner.y - row_px * static_cast<float>(row + 1);
    const std::array<ui::Point, 2> ends{{{x, top}, {x, sheet.inner.bottom()}}};
    const ImU32 ink = ui::to_im(is_chosen ? ui.theme().focus : pen.color);
    for (const auto& piece : plot::dashed(ends, plot::dash_pattern(pen.dash), ui.scale()))
        draw->AddLine(ImVec2(piece.front().x, piece.front().y), ImVec2(piece.back().x, piece.back().y), ink,
                      (is_chosen ? 4.0f : 2.0f) * ui.scale());
    const std::string label = line.label + " " + rule_ms_words(ui, line.at_ms);
    const float wide = ImGui::CalcTextSize(label.c_str()).x;
    const bool is_right = x + wide + 8 < sheet.inner.right();
    const float left = is_right ? x + 6 : std::max(sheet.inner.x, x - wide - 6);
    draw->AddText(ImVec2(left, top), ui::to_im(ui.theme().text), label.c_str());
    const float r = 7 * std::min(ui.scale(), 2.0f);
    plot::draw_shape(draw, plot::Shape::diamond, {x, sheet.inner.bottom() - r}, r,
                     is_chosen ? ui.theme().focus : pen.color, true, 2 * ui.scale());
}

}  // namespace

std::string rule_ms_words(const Ui& ui, std::int64_t ms) {
    return ms == 0 ? std::string(ui.t(T::control_off)) : std::to_string(ms) + " ms";
}

std::string histogram_words(const Ui& ui, const measure::Histogram& histogram,
                            std::span<const RuleLine> lines, const HistogramState& state) {
    std::string words;
    for (std::size_t i = 0; i < lines.size(); ++i) {
        words += (words.empty() ? "" : ", ") + lines[i].label + " " + rule_ms_words(ui, lines[i].at_ms);
        if (static_cast<int>(i) == state.chosen) words += " (" + std::string(ui.t(T::times_moves)) + ")";
    }
    if (!words.empty()) words += ". ";
    const auto bin = static_cast<std::size_t>(std::max(state.bin, 0));
    if (state.bin >= 0 && bin < histogram.counts.size())
        words +=
            ui.t(T::times_bin, time_words(ui, histogram.edges_us[bin]),
                 time_words(ui, histogram.edges_us[bin + 1]), histogram.counts[bin], histogram.censored[bin]);
    return words;
}

std::optional<LineMoved> histogram_canvas(Ui& ui, std::string_view id, std::string_view label,
                                          const measure::Histogram& histogram,
                                          std::span<const RuleLine> lines, HistogramState& state) {
    state.chosen = std::min(state.chosen, static_cast<int>(lines.size()) - 1);
    const float rows_px = (ui.line_height() + 4) * static_cast<float>(lines.size() + 1) + ui.pad();
    const auto canvas = ui.canvas(id, label, histogram_words(ui, histogram, lines, state),
                                  k_bars_px + rows_px / std::min(ui.scale(), 2.0f));
    const Sheet sheet = sheet_of(ui, canvas, histogram, lines.size());
    if (canvas.was_activated && state.chosen < 0 && !lines.empty()) state.chosen = 0;
    Hand hand{state, lines, static_cast<int>(histogram.counts.size())};
    for (const ui::KeyEvent& key : canvas.keys) take_key(hand, key);
    take_pointer(hand, canvas, sheet);
    const double most = plot::from_zero(tallest(histogram)).to;
    draw_counts(ui, canvas.draw, sheet, most);
    draw_times(ui, canvas.draw, sheet);
    draw_bars(ui, canvas.draw, sheet, histogram, most, state.bin);
    for (std::size_t i = 0; i < lines.size(); ++i)
        draw_line(ui, canvas.draw, sheet, lines[i], static_cast<int>(i), state.chosen == static_cast<int>(i));
    return hand.moved;
}

}  // namespace fettle::app
