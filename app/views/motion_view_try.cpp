// Where motion is tried, and what the computer adds to it.
#include <imgui.h>

#include <algorithm>
#include <cmath>

#include "app/plot/plot.hpp"
#include "app/ui/imgui_compat.hpp"
#include "app/views/motion_page.hpp"

namespace fettle::app::motion_page {

namespace {

using ui::Ui;

constexpr float k_area_px = 240, k_meter_px = 200;
constexpr std::array<T, k_targets> k_target_words = {T::motion_target_large, T::motion_target_medium,
                                                     T::motion_target_small};

std::string target_words(const Ui& ui, TargetSize target) {
    const auto i = static_cast<std::size_t>(target);
    return ui.t(k_target_words[i], k_target_px[i]);
}

/// A frame's moves, from the simulated computer or from this one.
void follow(Page& page, const ui::Canvas& canvas) {
    const Ui& ui = page.ui;
    MotionState& state = page.state;
    const ui::Point size{canvas.rect.w, canvas.rect.h};
    PointerStep step;
    if (page.desk.device.is_simulated) {
        step = state.area.follow(page.reports, size, state.is_accelerated);
    } else {
        const ui::Point p = ui.input().pointer;
        const ui::Point window = ui.input().size;
        const bool is_seen = p.x >= 0 && p.y >= 0;
        const bool is_at_edge = !is_seen || p.x < 2 || p.y < 2 || p.x > window.x - 3 || p.y > window.y - 3;
        const ui::Point inside{p.x - canvas.rect.x, p.y - canvas.rect.y};
        step = state.area.follow_real(page.reports, is_seen ? std::optional(inside) : std::nullopt,
                                      is_at_edge, ui.input().primary_down, size);
    }
    step.at_us = ui.now_ms() * 1000;
    state.meter.put(step);
}

void label_below(const ui::Canvas& canvas, const Ui& ui, ui::Point middle, float below,
                 const std::string& words) {
    const ImVec2 size = ImGui::CalcTextSize(words.c_str());
    const float x = std::clamp(middle.x - size.x / 2, canvas.rect.x + 2,
                               std::max(canvas.rect.x + 2, canvas.rect.right() - size.x - 2));
    const float y = std::min(middle.y + below, canvas.rect.bottom() - size.y - 2);
    canvas.draw->AddText(ImVec2(x, y), ui::to_im(ui.theme().text), words.c_str());
}

/// A hit fills the target and draws a square round it; the pointer over it makes its edge thick.
void draw_target(Page& page, const ui::Canvas& canvas, TargetSize target) {
    Ui& ui = page.ui;
    const ui::Point c = TryArea::centre(target, {canvas.rect.w, canvas.rect.h});
    const ui::Point middle{canvas.rect.x + c.x, canvas.rect.y + c.y};
    const float r = static_cast<float>(k_target_px[static_cast<std::size_t>(target)]) / 2;
    const std::string id = "motion.target." + std::to_string(static_cast<int>(target));
    const bool is_lit = ui.lamp(id, page.state.area.new_hit() == target);
    const bool is_over = ui.lamp(id + ".over", page.state.area.under() == target);
    const ui::Color ink = ui.theme().line[0];
    plot::draw_shape(canvas.draw, plot::Shape::circle, middle, r, ink, is_lit,
                     (is_over ? 5.0f : 2.0f) * ui.scale());
    if (is_lit)
        plot::draw_shape(canvas.draw, plot::Shape::square, middle, r + 6 * ui.scale(), ui.theme().good, false,
                         3 * ui.scale());
    label_below(canvas, ui, middle, r + 8 * ui.scale(), target_words(ui, target));
}

/// An arrow head whose tip is where the pointer points.
void draw_pointer(const Ui& ui, const ui::Canvas& canvas, ui::Point at) {
    const float s = 18 * std::min(ui.scale(), 2.0f);
    const ImVec2 tip(canvas.rect.x + at.x, canvas.rect.y + at.y);
    const ImVec2 low(tip.x + s * 0.25f, tip.y + s), side(tip.x + s * 0.85f, tip.y + s * 0.7f);
    canvas.draw->AddTriangleFilled(tip, low, side, ui::to_im(ui.theme().text));
    canvas.draw->AddTriangle(tip, low, side, ui::to_im(ui.theme().page), ui.scale());
}

std::string area_words(const Page& page) {
    const Ui& ui = page.ui;
    const TryArea& area = page.state.area;
    const auto under = area.under();
    const std::string where = under                    ? ui.t(T::motion_try_on, target_words(ui, *under))
                              : area.is_pointer_seen() ? std::string(ui.t(T::motion_try_off))
                                                       : std::string(ui.t(T::motion_try_unseen));
    return ui.t(T::motion_try_told, area.hits(TargetSize::large), area.hits(TargetSize::medium),
                area.hits(TargetSize::small), area.misses(), where);
}

std::string meter_words(const Page& page) {
    const Ui& ui = page.ui;
    const PointerMeter& meter = page.state.meter;
    const auto answer = meter.answer();
    std::string words;
    if (!answer) {
        words = ui.t(T::motion_meter_waits, meter.moves().size(), PointerMeter::k_enough_moves);
    } else {
        words = ui.t(T::motion_meter_ratio, ratio_words(ui, answer->ratio), ratio_words(ui, answer->low),
                     ratio_words(ui, answer->high), answer->moves) +
                " ";
        switch (answer->by_speed) {
            case PointerAnswer::BySpeed::not_known: words += ui.t(T::motion_meter_one_speed); break;
            case PointerAnswer::BySpeed::no: words += ui.t(T::motion_meter_straight); break;
            case PointerAnswer::BySpeed::yes:
                words += ui.t(T::motion_meter_bent, ratio_words(ui, answer->slow_ratio),
                              speed_words(ui, answer->slow_counts_per_s), ratio_words(ui, answer->fast_ratio),
                              speed_words(ui, answer->fast_counts_per_s));
                break;
        }
    }
    if (meter.left_out_at_edge() > 0) words += " " + ui.t(T::motion_meter_left_out, meter.left_out_at_edge());
    return words;
}

std::string longest_meter(const Ui& ui) {
    const std::string ratio = ratio_words(ui, 12.34), speed = speed_words(ui, 10000);
    return ui.t(T::motion_meter_ratio, ratio, ratio, ratio, 200) + " " +
           ui.t(T::motion_meter_bent, ratio, speed, ratio, speed) + " " +
           ui.t(T::motion_meter_left_out, 9999);
}

void draw_meter(Page& page, const ui::Canvas& canvas) {
    Ui& ui = page.ui;
    MotionState& state = page.state;
    double fastest = 100, most = 1;
    for (const PointerMove& move : state.meter.moves()) {
        fastest = std::max(fastest, move.counts_per_s);
        most = std::max(most, move.pixels_per_count);
    }
    const plot::PilotLimits limits{.all = plot::from_zero(fastest), .least_span = 20, .step = 1};
    const char point = decimal_point(ui);
    plot::Plot plot(
        ui, canvas,
        {.range = plot::view_of(state.meter_pilot, limits),
         .unit = ui.t(T::motion_unit_counts_per_s),
         .decimal_point = point},
        {.range = plot::from_zero(most), .unit = ui.t(T::motion_unit_ratio), .decimal_point = point});
    plot::work(state.meter_pilot, limits, canvas, plot.inner());
    if (const auto answer = state.meter.answer()) {
        const double end = limits.all.to;
        const plot::Sample bend[] = {{0, screen_ratio(*answer, 0)},
                                     {answer->slow_counts_per_s, answer->slow_ratio},
                                     {answer->fast_counts_per_s, answer->fast_ratio},
                                     {end, screen_ratio(*answer, end)}};
        const plot::Sample straight[] = {{0, answer->ratio}, {end, answer->ratio}};
        if (answer->by_speed == PointerAnswer::BySpeed::yes)
            plot.line(bend, plot::pen(ui, 3));
        else
            plot.line(straight, plot::pen(ui, 3));
    }
    for (const PointerMove& move : state.meter.moves())
        plot.mark(move.counts_per_s, move.pixels_per_count, plot::Shape::cross, plot::pen(ui, 0));
    if (state.meter_pilot.cursor) plot.crosshair(*state.meter_pilot.cursor);
}

}  // namespace

void try_area(Page& page) {
    Ui& ui = page.ui;
    ui.group("motion.try", ui.t(T::motion_try));
    ui.heading(ui.t(T::motion_try));
    ui.quiet(ui.t(page.desk.device.is_simulated ? T::motion_try_simulated : T::motion_try_real));
    const std::string& told = page.state.area_text.say(ui.now_ms(), ui.options().lit_ms, area_words(page));
    const int lines = lines_for(ui, ui.t(T::motion_try_told, 99, 99, 99, 99,
                                         ui.t(T::motion_try_on, target_words(ui, TargetSize::medium)))
                                        .size());
    const ui::Canvas canvas = ui.canvas("motion.area", ui.t(T::motion_try), told, k_area_px);
    follow(page, canvas);
    canvas.draw->PushClipRect(ImVec2(canvas.rect.x, canvas.rect.y),
                              ImVec2(canvas.rect.right(), canvas.rect.bottom()), true);
    for (std::size_t i = 0; i < k_targets; ++i) draw_target(page, canvas, static_cast<TargetSize>(i));
    if (page.desk.device.is_simulated) draw_pointer(ui, canvas, page.state.area.pointer());
    canvas.draw->PopClipRect();
    ui.live("motion.area.told", lines, told);
    if (ui.button("motion.area.reset", ui.t(T::motion_try_reset))) page.state.area.reset();
    ui.end_group();
}

void meter(Page& page) {
    Ui& ui = page.ui;
    MotionState& state = page.state;
    ui.group("motion.meter", ui.t(T::motion_meter));
    ui.heading(ui.t(T::motion_meter));
    ui.quiet(ui.t(T::motion_meter_help));
    const std::string& told = state.meter_text.say(ui.now_ms(), ui.options().lit_ms, meter_words(page));
    ui.live("motion.meter.told", lines_for(ui, {longest_meter(ui)}), told);
    const ui::Canvas canvas =
        ui.canvas("motion.meter.plot", ui.t(T::motion_meter_plot),
                  ui.t(T::motion_meter_points, state.meter.moves().size()) + ". " + told, k_meter_px);
    draw_meter(page, canvas);
    ui.row();
    if (page.desk.device.is_simulated &&
        ui.toggle("motion.accelerate", ui.t(T::motion_accelerate), state.is_accelerated)) {
        state.is_accelerated = !state.is_accelerated;
        state.meter.clear();  // another computer, so to speak
    }
    if (ui.button("motion.meter.clear", ui.t(T::motion_meter_clear))) state.meter.clear();
    ui.end_row();
    ui.end_group();
}

}  // namespace fettle::app::motion_page
