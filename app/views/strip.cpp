#include "app/views/strip.hpp"

#include <imgui.h>

#include <algorithm>
#include <array>
#include <vector>

#include "app/ui/imgui_compat.hpp"

namespace fettle::app {

namespace {

using trace::Column;
using trace::Lane;
using trace::LaneKind;

constexpr std::array k_report_lanes = {LaneKind::keyboard, LaneKind::buttons, LaneKind::consumer,
                                       LaneKind::pointer_report};
constexpr float k_column_px = 2;

struct Span {
    std::int64_t from_us = 0, to_us = 0;
};

Span span_of(const trace::Roll& roll) {
    const std::int64_t to = (roll.last_us() / k_strip_step_us + 1) * k_strip_step_us;
    return {to - k_strip_us, to};
}

bool has_anything(const trace::Roll& roll, Lane lane, Span span) {
    if (!roll.has_anything(lane)) return false;
    if (roll.lane_at(lane, span.from_us).is_on) return true;
    const auto next = roll.next_mark(lane, span.from_us);
    return next && *next < span.to_us;
}

std::vector<Lane> press_lanes(const trace::Roll& roll, Span span) {
    std::vector<Lane> lanes;
    for (std::uint8_t input = 0; input < engine::k_max_inputs; ++input)
        if (const Lane lane{LaneKind::press, input}; has_anything(roll, lane, span)) lanes.push_back(lane);
    return lanes;
}

std::vector<Lane> report_lanes(const trace::Roll& roll, Span span) {
    std::vector<Lane> lanes;
    for (const LaneKind kind : k_report_lanes)
        if (const Lane lane{kind, 0}; has_anything(roll, lane, span)) lanes.push_back(lane);
    return lanes;
}

std::uint32_t begins_in(const trace::Roll& roll, Lane lane, Span span) {
    Column one;
    roll.columns(lane, span.from_us, span.to_us, 1, {&one, 1});
    return one.begins;
}

/// Runs of columns in which the lane was on, or marked, as bars.
void draw_lane(ImDrawList* draw, const trace::Roll& roll, Lane lane, Span span, ui::Rect place,
               ui::Color color) {
    const auto count = static_cast<std::size_t>(std::max(1.0f, place.w / k_column_px));
    std::vector<Column> columns(count);
    roll.columns(lane, span.from_us, span.to_us, count, columns);
    const bool is_mark = trace::is_mark_lane(lane.kind);
    for (std::size_t i = 0; i < count;) {
        const auto is_set = [&](std::size_t at) {
            return is_mark ? columns[at].begins > 0 : columns[at].was_on;
        };
        std::size_t end = i + 1;
        if (is_set(i)) {
            while (end < count && is_set(end)) ++end;
            const float x = place.x + static_cast<float>(i) * k_column_px;
            const float to = place.x + static_cast<float>(end) * k_column_px;
            draw->AddRectFilled(ImVec2(x, place.y + 1),
                                ImVec2(std::min(to, place.right()), place.bottom() - 1), ui::to_im(color));
        }
        i = end;
    }
}

void draw_row(ui::Ui& ui, ImDrawList* draw, const trace::Roll& roll, const std::vector<Lane>& lanes,
              Span span, ui::Rect place) {
    if (lanes.empty()) return;
    const float each = place.h / static_cast<float>(lanes.size());
    for (std::size_t i = 0; i < lanes.size(); ++i) {
        // An input keeps its colour whatever else is there.
        const std::size_t of = trace::is_of_an_input(lanes[i].kind) ? lanes[i].input : i;
        const ui::Rect row{place.x, place.y + each * static_cast<float>(i), place.w, each};
        draw_lane(draw, roll, lanes[i], span, row, ui.theme().line[of % ui::k_plot_lines]);
    }
}

}  // namespace

std::string strip_words(const ui::Ui& ui, const Desk& desk) {
    if (desk.roll.is_empty()) return ui.t(T::frame_strip_nothing);
    const Span span = span_of(desk.roll);
    std::string words;
    for (const Lane lane : press_lanes(desk.roll, span)) {
        words += words.empty() ? "" : ", ";
        words += desk.names.input(lane.input) + " " + std::to_string(begins_in(desk.roll, lane, span));
    }
    std::uint32_t reports = 0;
    for (const Lane lane : report_lanes(desk.roll, span)) reports += begins_in(desk.roll, lane, span);
    if (words.empty() && reports == 0) return ui.t(T::frame_strip_nothing);
    return ui.t(T::frame_strip_said, words.empty() ? std::string("0") : words, reports);
}

void draw_strip(ui::Ui& ui, const Desk& desk, ui::Rect place) {
    ImDrawList* draw = ui.picture("strip", ui.t(T::frame_strip), strip_words(ui, desk), place);
    const float half = place.h / 2;
    const bool has_words = half >= ui.line_height() + 2;
    const float column = has_words ? std::max(ImGui::CalcTextSize(ui.t(T::frame_strip_presses)).x,
                                              ImGui::CalcTextSize(ui.t(T::frame_strip_reports)).x) +
                                         2 * ui.pad()
                                   : 0;
    const ui::Rect presses{place.x + column, place.y, place.w - column, half};
    const ui::Rect reports{place.x + column, place.y + half, place.w - column, half};
    draw->AddLine(ImVec2(place.x, place.y + half), ImVec2(place.right(), place.y + half),
                  ui::to_im(ui.theme().grid_line));
    if (has_words) {
        const float down = (half - ui.line_height()) / 2;
        const ImU32 color = ui::to_im(ui.theme().quiet);
        draw->AddText(ImVec2(place.x + ui.pad(), presses.y + down), color, ui.t(T::frame_strip_presses));
        draw->AddText(ImVec2(place.x + ui.pad(), reports.y + down), color, ui.t(T::frame_strip_reports));
    }
    if (desk.roll.is_empty()) return;
    const Span span = span_of(desk.roll);
    draw_row(ui, draw, desk.roll, press_lanes(desk.roll, span), span, presses);
    draw_row(ui, draw, desk.roll, report_lanes(desk.roll, span), span, reports);
}

}  // namespace fettle::app
