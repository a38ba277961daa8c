// The time line: a lane for each input and for what went to the computer; zoom, marks, jumps.
#include <imgui.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "app/plot/plot.hpp"
#include "app/ui/imgui_compat.hpp"
#include "app/views/presses_lanes.hpp"
#include "app/views/presses_parts.hpp"

namespace fettle::app {

namespace {

using trace::Wanted;
using ui::Ui;

constexpr double k_least_span_us = 1000;
constexpr double k_least_shown_us = 10e6;  // own choice: a short recording does not fill the width
constexpr int k_said_lines = 3;
constexpr double k_fine = 1e-5;  // own choice: of the time between two marks
constexpr const char* k_more = " ...";

constexpr std::array<std::pair<Wanted, T>, trace::k_wanted_kinds> k_wanted{
    {{Wanted::repeat_lost, T::jump_repeat},
     {Wanted::press_rejected, T::jump_rejected},
     {Wanted::telemetry_lost, T::jump_telemetry},
     {Wanted::hold_limit, T::jump_limit},
     {Wanted::drag_broken, T::jump_drag}}};

plot::PilotLimits limits_of(const trace::Roll& roll) {
    const auto first = static_cast<double>(roll.first_us());
    const double last = std::max(static_cast<double>(roll.last_us()), first + k_least_shown_us);
    return {{first, last}, k_least_span_us, 1, true};
}

void follow(TimelineState& state, const plot::PilotLimits& limits) {
    if (!state.follows) return;
    const double span = std::min(state.span_us, limits.all.span());
    state.pilot.view = plot::Range{limits.all.to - span, limits.all.to};
}

std::int64_t cursor_us(const TimelineState& state, const plot::PilotLimits& limits) {
    const plot::Range view = plot::view_of(state.pilot, limits);
    return std::llround(state.pilot.cursor ? *state.pilot.cursor : (view.from + view.to) / 2);
}

void show_at(TimelineState& state, const plot::PilotLimits& limits, std::int64_t us) {
    const double span = plot::view_of(state.pilot, limits).span();
    const double at = static_cast<double>(us);
    const double from =
        std::clamp(at - span / 2, limits.all.from, std::max(limits.all.from, limits.all.to - span));
    state.follows = false;
    state.pilot.cursor = at;
    state.pilot.view = plot::Range{from, from + span};
}

void moving(Ui& ui, TimelineState& state, const plot::PilotLimits& limits) {
    ui.group("timeline.move", ui.t(T::timeline_move));
    ui.row();
    if (ui.toggle("timeline.follow", ui.t(T::timeline_follow), state.follows)) state.follows = !state.follows;
    const auto zoom = [&](double factor) {
        plot::zoom(state.pilot, limits, factor);
        state.span_us = plot::view_of(state.pilot, limits).span();
    };
    if (ui.button("timeline.nearer", ui.t(T::timeline_nearer))) zoom(0.5);
    if (ui.button("timeline.farther", ui.t(T::timeline_farther))) zoom(2);
    const auto pan = [&](double by) {
        plot::pan(state.pilot, limits, by);
        state.follows = false;
    };
    if (ui.button("timeline.earlier", ui.t(T::timeline_earlier))) pan(-0.5);
    if (ui.button("timeline.later", ui.t(T::timeline_later))) pan(0.5);
    ui.end_row();
    ui.end_group();
}

void jumping(Ui& ui, const trace::Roll& roll, TimelineState& state, const plot::PilotLimits& limits) {
    std::vector<std::string> kinds;
    for (const auto& [wanted, words] : k_wanted) kinds.push_back(ui.t(words, roll.count_of(wanted)));
    ui.group("timeline.jump", ui.t(T::timeline_jump));
    ui.row();
    if (auto next = ui.choice("timeline.wanted", ui.t(T::timeline_jump), kinds, state.wanted))
        state.wanted = *next;
    const Wanted wanted = k_wanted[static_cast<std::size_t>(state.wanted)].first;
    const auto jump = [&](const std::optional<trace::Roll::Found>& found) {
        state.found_none = !found;
        if (found) show_at(state, limits, found->at_us);
    };
    if (ui.button("timeline.previous", ui.t(T::timeline_previous)))
        jump(roll.find_previous(cursor_us(state, limits), wanted));
    if (ui.button("timeline.next", ui.t(T::timeline_next)))
        jump(roll.find_next(cursor_us(state, limits), wanted));
    ui.end_row();
    ui.end_group();
}

void marking(Ui& ui, TimelineState& state, const plot::PilotLimits& limits) {
    ui.group("timeline.marks", ui.t(T::timeline_marks));
    ui.row();
    if (ui.button("timeline.a", ui.t(T::timeline_mark_a))) state.a = cursor_us(state, limits);
    if (ui.button("timeline.b", ui.t(T::timeline_mark_b))) state.b = cursor_us(state, limits);
    if (ui.button("timeline.unmark", ui.t(T::timeline_unmark), ui::Look::plain, state.a || state.b)) {
        state.a.reset();
        state.b.reset();
    }
    ui.end_row();
    ui.end_group();
}

plot::Axis time_axis(const Ui& ui, plot::Range view) {
    plot::Axis axis;
    axis.range = view;
    axis.quantity = plot::Quantity::time;
    axis.decimal_point = ui.options().language == Language::german ? ',' : '.';
    return axis;
}

/// What stands under the crosshair, and the time between the marks: sentences, the first things first.
std::vector<std::string> said(const Ui& ui, const Desk& desk, const TimelineState& state,
                              const plot::PilotLimits& limits, const std::vector<LaneRow>& rows) {
    const plot::Range view = plot::view_of(state.pilot, limits);
    const plot::Axis axis = time_axis(ui, view);
    const double step = view.span() / 1000;
    std::vector<std::string> words;
    if (state.found_none) words.emplace_back(ui.t(T::timeline_none));
    if (state.a && state.b) {
        const auto apart = std::abs(static_cast<double>(*state.b - *state.a));
        words.push_back(
            ui.t(T::timeline_between, plot::value_words(axis, apart, std::max(1.0, apart * k_fine))));
    }
    if (!state.pilot.cursor) {
        words.emplace_back(ui.t(T::timeline_help));
        return words;
    }
    const std::int64_t us = cursor_us(state, limits);
    words.push_back(
        ui.t(T::timeline_at, plot::value_words(axis, *state.pilot.cursor - limits.all.from, step)));
    for (const LaneRow& row : rows) {
        const std::string part = lane_words(ui, row, desk.shown_roll(), desk.shown_names(), us);
        if (!part.empty()) words.push_back(row.label + ": " + part + ".");
    }
    return words;
}

std::string joined(const std::vector<std::string>& parts) {
    std::string all;
    for (const std::string& part : parts) all += (all.empty() ? "" : " ") + part;
    return all;
}

/// As many whole sentences as the lines have room for; the canvas's description has all of them.
std::string that_fit(const Ui& ui, const std::vector<std::string>& parts, int lines) {
    const float most = static_cast<float>(lines) * ui.line_height() + 0.5f;
    const auto high = [&](const std::string& words) {
        return ImGui::CalcTextSize(words.c_str(), nullptr, false, ui.width()).y;
    };
    std::string shown = joined(parts);
    if (high(shown) <= most) return shown;
    shown.clear();
    for (const std::string& part : parts) {
        const std::string longer = shown + (shown.empty() ? "" : " ") + part;
        if (!shown.empty() && high(longer + k_more) > most) break;
        shown = longer;
    }
    return shown + k_more;
}

struct Sheet {
    ui::Rect inner;  ///< right of the labels, above the axis
    float row_px = 0;
};

Sheet sheet_of(const Ui& ui, const ui::Canvas& canvas, std::size_t rows) {
    const float axis_px = ui.line_height() + ui.pad();
    const float labels_px = std::min(canvas.rect.w * 0.3f, 9 * ImGui::GetFontSize());
    Sheet sheet;
    sheet.inner = {canvas.rect.x + labels_px, canvas.rect.y, canvas.rect.w - labels_px,
                   canvas.rect.h - axis_px};
    sheet.row_px = sheet.inner.h / static_cast<float>(std::max<std::size_t>(rows, 1));
    return sheet;
}

void draw_axis(const Ui& ui, const ui::Canvas& canvas, const Sheet& sheet, plot::Range view, double zero) {
    plot::Axis axis = time_axis(ui, {view.from - zero, view.to - zero});
    const auto measure = [](std::string_view text) {
        return ImGui::CalcTextSize(text.data(), text.data() + text.size()).x;
    };
    for (const plot::Tick& tick : plot::ticks(axis, {sheet.inner.w, 12, false, 0}, measure)) {
        const float x =
            sheet.inner.x + static_cast<float>((tick.at + zero - view.from) / view.span()) * sheet.inner.w;
        canvas.draw->AddLine(ImVec2(x, sheet.inner.y), ImVec2(x, sheet.inner.bottom()),
                             ui::to_im(ui.theme().grid_line));
        const float half = measure(tick.label) / 2;
        const float left =
            std::clamp(x - half, sheet.inner.x, std::max(sheet.inner.x, sheet.inner.right() - 2 * half));
        canvas.draw->AddText(ImVec2(left, sheet.inner.bottom() + 2), ui::to_im(ui.theme().text),
                             tick.label.c_str());
    }
}

void draw_upright(const Ui& ui, const ui::Canvas& canvas, const Sheet& sheet, plot::Range view, double at,
                  const char* letter, ui::Color color) {
    if (!view.contains(at)) return;
    const float x = sheet.inner.x + static_cast<float>((at - view.from) / view.span()) * sheet.inner.w;
    canvas.draw->AddLine(ImVec2(x, sheet.inner.y), ImVec2(x, sheet.inner.bottom()), ui::to_im(color),
                         2 * ui.scale());
    if (letter[0] != '\0') canvas.draw->AddText(ImVec2(x + 3, sheet.inner.y), ui::to_im(color), letter);
}

void draw(const Ui& ui, const Desk& desk, TimelineState& state, const ui::Canvas& canvas, const Sheet& sheet,
          const std::vector<LaneRow>& rows, const plot::PilotLimits& limits) {
    const plot::Range view = plot::view_of(state.pilot, limits);
    draw_axis(ui, canvas, sheet, view, limits.all.from);
    const std::int64_t from_us = std::llround(view.from),
                       to_us = std::max(std::llround(view.to), from_us + 1LL);
    state.columns.look_at(
        desk.shown_roll(), from_us, to_us,
        view.span() * static_cast<double>(k_lane_column_px / std::max(1.0f, sheet.inner.w)));
    float y = sheet.inner.y;
    for (const LaneRow& row : rows) {
        const ui::Rect lane{sheet.inner.x, y, sheet.inner.w, sheet.row_px};
        canvas.draw->PushClipRect(ImVec2(canvas.rect.x, y), ImVec2(sheet.inner.x - 4, y + sheet.row_px),
                                  true);
        canvas.draw->AddText(ImVec2(canvas.rect.x + ui.pad() / 2, y + 2), ui::to_im(ui.theme().text),
                             row.label.c_str());
        canvas.draw->PopClipRect();
        canvas.draw->AddLine(ImVec2(canvas.rect.x, y), ImVec2(canvas.rect.right(), y),
                             ui::to_im(ui.theme().grid_line));
        draw_lane(ui, canvas.draw, row, {lane, from_us, to_us}, desk.shown_roll(), desk.shown_names(),
                  state.columns);
        y += sheet.row_px;
    }
    if (state.a) draw_upright(ui, canvas, sheet, view, static_cast<double>(*state.a), "A", ui.theme().focus);
    if (state.b) draw_upright(ui, canvas, sheet, view, static_cast<double>(*state.b), "B", ui.theme().focus);
    if (state.pilot.cursor) draw_upright(ui, canvas, sheet, view, *state.pilot.cursor, "", ui.theme().text);
}

void mark_keys(const ui::Canvas& canvas, TimelineState& state, const plot::PilotLimits& limits) {
    for (const ui::KeyEvent& key : canvas.keys) {
        if (!key.is_down) continue;
        if (key.text == "a") state.a = cursor_us(state, limits);
        if (key.text == "b") state.b = cursor_us(state, limits);
    }
}

}  // namespace

void timeline_part(Ui& ui, const Desk& desk, TimelineState& state, const Orders&) {
    const trace::Roll& roll = desk.shown_roll();
    const plot::PilotLimits limits = limits_of(roll);
    const std::string shown = desk.recording.opened ? desk.recording.opened_name : std::string();
    if (state.shown != shown) {
        state = {};
        state.shown = shown;
        state.follows = !desk.recording.opened;
    }
    follow(state, limits);
    moving(ui, state, limits);
    jumping(ui, roll, state, limits);
    marking(ui, state, limits);
    const auto rows = lane_rows(ui, roll, desk.shown_names());
    const auto parts = said(ui, desk, state, limits, rows);
    const std::string words = joined(parts);
    ui.live("timeline.said", k_said_lines, that_fit(ui, parts, k_said_lines));
    const float row_px = (ui.line_height() + 10) / std::min(ui.scale(), 2.0f);
    const auto canvas = ui.canvas("timeline", ui.t(T::presses_timeline), words,
                                  row_px * static_cast<float>(rows.size() + 1) + 8);
    const Sheet sheet = sheet_of(ui, canvas, rows.size());
    const plot::Range before = plot::view_of(state.pilot, limits);
    plot::work(state.pilot, limits, canvas, sheet.inner);
    mark_keys(canvas, state, limits);
    const plot::Range after = plot::view_of(state.pilot, limits);
    if (!(after == before)) {
        // A change of zoom goes on following; a move looks at one place.
        state.follows = state.follows && after.span() != before.span();
        state.span_us = after.span();
    }
    draw(ui, desk, state, canvas, sheet, rows, limits);
}

}  // namespace fettle::app
