#include "app/views/presses_lanes.hpp"

#include <imgui.h>

#include <algorithm>
#include <optional>

#include "app/plot/plot.hpp"
#include "app/ui/imgui_compat.hpp"
#include "app/words/action_words.hpp"
#include "app/words/infrared_words.hpp"
#include "app/words/plain_text.hpp"

namespace fettle::app {

namespace {

using trace::Column;
using trace::Lane;
using trace::LaneKind;
using ui::Ui;

constexpr float k_column_px = k_lane_column_px;
constexpr std::uint16_t k_covered = 0xFF;  // a usage that telemetry covered

struct Painter {
    const Ui& ui;
    ImDrawList* draw;
    LanePlace place;
    const trace::Roll& roll;
    const EventNames& names;
    ColumnKeeper& keeper;
    LaneColumns now = {};

    std::span<const Column> columns(Lane lane) {
        now = keeper.lane(roll, lane);
        return now.columns;
    }
    /// Of the columns that were asked for last; their ends are cut to the lane's place.
    float x(std::size_t column) const {
        const std::int64_t us = (now.first + static_cast<std::int64_t>(column)) * now.column_us;
        const double share =
            static_cast<double>(us - place.from_us) / static_cast<double>(place.to_us - place.from_us);
        return place.rect.x + place.rect.w * static_cast<float>(std::clamp(share, 0.0, 1.0));
    }
    float y(float share) const { return place.rect.y + place.rect.h * share; }
};

/// What is drawn as one box: columns [begin, end) that are on. number: k_no_number where they are not one
/// thing.
struct Run {
    std::size_t begin = 0, end = 0;
    std::uint16_t number = trace::k_no_number;
};

/// Where the next run begins and ends: it goes on as long as nothing begins in the next column and it never
/// went off in this one.
Run run_from(std::span<const Column> columns, std::size_t begin) {
    Run run{begin, begin + 1, columns[begin].is_mixed ? trace::k_no_number : columns[begin].number};
    while (run.end < columns.size() && columns[run.end].was_on && columns[run.end].begins == 0 &&
           !columns[run.end - 1].was_off)
        ++run.end;
    return run;
}

/// Calls with each run. Runs too short to be told apart, each touching the one before, are one.
template <typename Each>
void runs(std::span<const Column> columns, const Each& each) {
    constexpr std::size_t k_short = 2;
    std::optional<Run> open;
    for (std::size_t i = 0; i < columns.size();) {
        if (!columns[i].was_on) {
            ++i;
            continue;
        }
        const Run run = run_from(columns, i);
        i = run.end;
        const bool is_short = run.end - run.begin <= k_short;
        if (open && open->end == run.begin && is_short) {
            open->end = run.end;
            if (open->number != run.number) open->number = trace::k_no_number;
            continue;
        }
        if (open) each(*open);
        open = run;
        if (is_short) continue;
        each(run);
        open.reset();
    }
    if (open) each(*open);
}

void hatch_unknown(Painter& p, std::span<const Column> columns) {
    const ImU32 color = ui::to_im(p.ui.theme().warn);
    const float step = 6 * p.ui.scale();
    float last = -1e9f;
    for (std::size_t i = 0; i < columns.size(); ++i) {
        if (!columns[i].was_unknown || p.x(i) - last < step) continue;
        last = p.x(i);
        p.draw->AddLine(ImVec2(last, p.y(0.95f)), ImVec2(last + step * 0.7f, p.y(0.05f)), color,
                        p.ui.scale());
    }
}

void box(Painter& p, const Run& run, float top, float bottom, ui::Color color, bool is_filled) {
    const ImVec2 from(p.x(run.begin), p.y(top));
    const ImVec2 to(std::max(p.x(run.end), from.x + 1), p.y(bottom));
    // A frame so narrow has no inside.
    if (is_filled || to.x - from.x < 2 * k_column_px)
        p.draw->AddRectFilled(from, to, ui::to_im(color));
    else
        p.draw->AddRect(from, to, ui::to_im(color), 0, 0, p.ui.scale());
}

/// The words, where the run has room for a good part of them.
template <typename Words>
void label(Painter& p, const Run& run, float top, const Words& words_of) {
    const float left = p.x(run.begin) + 3;
    const float right = p.x(run.end) - 3;
    if (run.number == trace::k_no_number || right - left < 2 * ImGui::GetFontSize()) return;
    const std::string words = words_of(run.number);
    p.draw->PushClipRect(ImVec2(left, p.place.rect.y), ImVec2(right, p.place.rect.bottom()), true);
    p.draw->AddText(ImVec2(left, p.y(top)), ui::to_im(p.ui.theme().text), words.c_str());
    p.draw->PopClipRect();
}

void marks(Painter& p, std::span<const Column> columns, plot::Shape shape, float share, ui::Color color) {
    const float radius = 4 * std::min(p.ui.scale(), 2.0f);
    float last = -1e9f;
    for (std::size_t i = 0; i < columns.size(); ++i) {
        if (columns[i].begins == 0) continue;
        const float at = (p.x(i) + p.x(i + 1)) / 2;
        if (at - last < radius) continue;
        last = at;
        plot::draw_shape(p.draw, shape, {at, p.y(share)}, radius, color, true, p.ui.scale());
    }
}

void draw_input(Painter& p, std::uint8_t input) {
    const ui::Theme& t = p.ui.theme();
    const auto level = p.columns({LaneKind::level, input});
    hatch_unknown(p, level);
    runs(level, [&](const Run& run) { box(p, run, 0.08f, 0.55f, t.line[0], false); });
    runs(p.columns({LaneKind::press, input}),
         [&](const Run& run) { box(p, run, 0.16f, 0.47f, t.line[0], true); });
    marks(p, p.columns({LaneKind::rejected, input}), plot::Shape::cross, 0.31f, t.bad);
    marks(p, p.columns({LaneKind::gesture, input}), plot::Shape::diamond, 0.72f, t.line[3]);
    runs(p.columns({LaneKind::action, input}), [&](const Run& run) {
        box(p, run, 0.6f, 0.95f, t.line[1], false);
        label(p, run, 0.56f,
              [&](std::uint16_t number) { return p.names.action(static_cast<std::uint8_t>(number)); });
    });
}

std::string modifiers_and(const Ui& ui, std::uint16_t number) {
    const auto modifiers = static_cast<std::uint8_t>(number >> 8);
    const auto usage = static_cast<std::uint8_t>(number & 0xFF);
    std::string words = modifiers == 0 ? "" : modifier_words(modifiers, ui.options().language);
    if (usage == 0) return words;
    return words + (words.empty() ? "" : " + ") +
           (usage == k_covered ? std::string(ui.t(T::lane_covered)) : key_words(usage));
}

/// What a number of that lane says.
std::string number_words(const Ui& ui, LaneKind kind, const EventNames& names, std::uint16_t number) {
    switch (kind) {
        case LaneKind::mode: return names.mode(static_cast<std::uint8_t>(number));
        case LaneKind::latched:
        case LaneKind::locked:
            return modifier_words(static_cast<std::uint8_t>(number), ui.options().language);
        case LaneKind::dragged:
        case LaneKind::buttons: return button_words(static_cast<std::uint8_t>(number), ui.options().language);
        case LaneKind::held: {
            const auto modifiers = static_cast<std::uint8_t>(number & 0xFF);
            const auto buttons = static_cast<std::uint8_t>(number >> 8);
            return modifiers != 0 ? modifier_words(modifiers, ui.options().language)
                                  : button_words(buttons, ui.options().language);
        }
        case LaneKind::keyboard: return modifiers_and(ui, number);
        case LaneKind::consumer:
            return number >= 0x3FF ? std::string(ui.t(T::lane_covered)) : consumer_words(number);
        case LaneKind::scale: return std::to_string(number) + " / 1000";
        case LaneKind::infrared: return protocol_name(static_cast<engine::Protocol>(number & 15));
        case LaneKind::lost: return ui.t(T::lane_lost_words);
        default: return {};
    }
}

void draw_global(Painter& p, LaneKind kind) {
    const ui::Theme& t = p.ui.theme();
    const auto columns = p.columns({kind, 0});
    hatch_unknown(p, columns);
    if (trace::is_mark_lane(kind)) {
        const plot::Shape shape = kind == LaneKind::noise      ? plot::Shape::cross
                                  : kind == LaneKind::infrared ? plot::Shape::triangle
                                                               : plot::Shape::circle;
        return marks(p, columns, shape, 0.5f, kind == LaneKind::noise ? t.bad : t.line[2]);
    }
    runs(columns, [&](const Run& run) {
        box(p, run, 0.12f, 0.88f, kind == LaneKind::lost ? t.bad : t.line[1], false);
        label(p, run, 0.2f, [&](std::uint16_t number) { return number_words(p.ui, kind, p.names, number); });
    });
}

constexpr std::pair<LaneKind, T> k_globals[] = {{LaneKind::mode, T::lane_mode},
                                                {LaneKind::latched, T::lane_latched},
                                                {LaneKind::locked, T::lane_locked},
                                                {LaneKind::dragged, T::lane_dragged},
                                                {LaneKind::keyboard, T::lane_keyboard},
                                                {LaneKind::buttons, T::lane_buttons},
                                                {LaneKind::pointer_report, T::lane_pointer},
                                                {LaneKind::infrared, T::lane_infrared},
                                                {LaneKind::noise, T::lane_noise},
                                                {LaneKind::lost, T::lane_lost}};

}  // namespace

std::vector<LaneRow> lane_rows(const Ui& ui, const trace::Roll& roll, const EventNames& names) {
    std::vector<LaneRow> rows;
    for (std::uint8_t input = 0; input < engine::k_max_inputs; ++input)
        if (input < names.inputs.size() || roll.has_anything({LaneKind::level, input}))
            rows.push_back({plain_text(names.input(input)), true, input, LaneKind::level});
    for (const auto& [kind, text] : k_globals) rows.push_back({ui.t(text), false, 0, kind});
    return rows;
}

void draw_lane(const Ui& ui, ImDrawList* draw, const LaneRow& row, const LanePlace& place,
               const trace::Roll& roll, const EventNames& names, ColumnKeeper& keeper) {
    Painter painter{ui, draw, place, roll, names, keeper};
    if (row.is_input)
        draw_input(painter, row.input);
    else
        draw_global(painter, row.kind);
}

std::string lane_words(const Ui& ui, const LaneRow& row, const trace::Roll& roll, const EventNames& names,
                       std::int64_t us) {
    if (!row.is_input) {
        const auto state = roll.lane_at({row.kind, 0}, us);
        return state.is_on ? number_words(ui, row.kind, names, state.number) : std::string();
    }
    if (!roll.lane_at({LaneKind::level, row.input}, us).is_on) return {};
    std::string words =
        roll.lane_at({LaneKind::press, row.input}, us).is_on ? ui.t(T::lane_pressed) : ui.t(T::lane_down);
    const auto action = roll.lane_at({LaneKind::action, row.input}, us);
    if (action.is_on) words += ", " + names.action(static_cast<std::uint8_t>(action.number));
    return words;
}

}  // namespace fettle::app
