// The curve: what is promised, what the device still does, what it really sent, and where a hold is on it.
#include <algorithm>
#include <cmath>

#include "app/plot/plot.hpp"
#include "app/views/motion_page.hpp"

namespace fettle::app::motion_page {

namespace {

using plot::Sample;
using ui::Ui;

constexpr float k_plot_px = 280;

/// A line of the plot: what it shows of a curve, in the quantity that is chosen.
const std::vector<Sample>& shown(const Page& page, const MotionCurve& curve) {
    return page.state.shows_way ? curve.way : curve.speed;
}

double until_us(const Page& page) {
    double until = told_until_us(*page.motion);
    if (page.on_device != nullptr) until = std::max(until, told_until_us(*page.on_device));
    return until;
}

std::vector<Sample> sent(const Page& page) {
    const auto& hold = page.state.trail.hold();
    if (!hold) return {};
    return page.state.shows_way ? hold->way : speed_of(hold->way, until_us(page));
}

/// Where the hold that runs is: device time of its last report, and what passed in the window since.
std::optional<double> running_us(const Page& page) {
    const auto& hold = page.state.trail.hold();
    MotionState& state = page.state;
    if (!hold || !hold->is_running()) {
        state.hold_began_us = -1;
        return std::nullopt;
    }
    if (state.hold_began_us != hold->began_us) {
        state.hold_began_us = hold->began_us;
        state.hold_seen_ms = page.ui.now_ms();
        state.hold_seen_us = std::max<std::int64_t>(0, page.desk.device_us - hold->began_us);
    }
    page.ui.lamp("motion.runs", true);  // the mark moves though the device may have nothing to tell
    return static_cast<double>(state.hold_seen_us + (page.ui.now_ms() - state.hold_seen_ms) * 1000);
}

double value_at(const std::vector<Sample>& line, double at, bool is_way) {
    const auto value = is_way ? plot::step_at(line, at) : plot::value_at(line, at);
    if (value) return *value;
    return line.empty() ? 0 : line.back().y;
}

/// In one sentence for those who do not see it.
std::string described(const Page& page, const MotionCurve& curve) {
    const double until = told_until_us(*page.motion);
    const Ui& ui = page.ui;
    return ui.t(T::motion_described, counts_words(ui, static_cast<double>(curve.figures.smallest_counts)),
                time_words(ui, until / 4), speed_words(ui, value_at(curve.speed, until / 4, false)),
                time_words(ui, until), speed_words(ui, value_at(curve.speed, until, false)));
}

std::string crosshair_words(const Page& page) {
    const Ui& ui = page.ui;
    const auto& cursor = page.state.pilot.cursor;
    if (!cursor) return ui.t(T::motion_crosshair_help);
    const double at = *cursor;
    const auto curve_now = page.curve();
    const MotionCurve& curve = *curve_now;
    std::string words =
        ui.t(T::motion_crosshair, time_words(ui, at), speed_words(ui, value_at(curve.speed, at, false)),
             counts_words(ui, value_at(curve.way, at, true)));
    if (const auto device = page.device_curve())
        words += " " + ui.t(T::motion_crosshair_device, speed_words(ui, value_at(device->speed, at, false)),
                            counts_words(ui, value_at(device->way, at, true)));
    const auto& hold = page.state.trail.hold();
    if (hold && hold->way.size() > 1 && at <= hold->way.back().x)
        words += " " + ui.t(T::motion_crosshair_sent, counts_words(ui, value_at(hold->way, at, true)));
    return words;
}

std::string longest_crosshair(const Page& page) {
    const Ui& ui = page.ui;
    const std::string speed = speed_words(ui, 250000), counts = counts_words(ui, 7500000);
    return ui.t(T::motion_crosshair, time_words(ui, 9.999e6), speed, counts) + " " +
           ui.t(T::motion_crosshair_device, speed, counts) + " " + ui.t(T::motion_crosshair_sent, counts);
}

/// What the device promised for the hold it made: by what it runs, not by what is edited.
double promised(const Page& page, double at) {
    const auto device = page.device_curve();
    return value_at((device != nullptr ? device : page.curve())->way, at, true);
}

std::string hold_words(const Page& page, std::optional<double> running) {
    const Ui& ui = page.ui;
    const auto& hold = page.state.trail.hold();
    if (!hold) return ui.t(T::motion_hold_none);
    const std::string name = page.desk.names.input(hold->input);
    const std::string sent = counts_words(ui, hold->way.back().y);
    const double at = running ? *running : static_cast<double>(*hold->ended_us - hold->began_us);
    const std::string promise = counts_words(ui, promised(page, at));
    return ui.t(running ? T::motion_hold_runs : T::motion_hold_was, name, time_words(ui, at), sent, promise) +
           " " + ui.t(T::motion_hold_more);
}

std::string longest_hold(const Page& page) {
    const Ui& ui = page.ui;
    std::size_t name = 8;
    for (const std::string& input : page.desk.names.inputs) name = std::max(name, input.size());
    const std::string counts = counts_words(ui, 999999);
    return ui.t(T::motion_hold_was, std::string(name, 'n'), time_words(ui, 9.999e6), counts, counts) + " " +
           ui.t(T::motion_hold_more);
}

double greatest(const std::vector<Sample>& line, double until) {
    double most = 0;
    for (const Sample& s : line)
        if (s.x <= until) most = std::max(most, s.y);
    return most;
}

/// The measured px/s: only where the system's acceleration is known.
std::vector<Sample> on_screen(const Page& page, const MotionCurve& curve) {
    const auto answer = page.state.meter.answer();
    if (page.state.shows_way || !answer || answer->by_speed != PointerAnswer::BySpeed::yes) return {};
    std::vector<Sample> line;
    for (const Sample& s : curve.speed) line.push_back({s.x, s.y * screen_ratio(*answer, s.y)});
    return line;
}

struct Lines {
    const std::vector<Sample>* edited;
    const std::vector<Sample>* device;
    std::vector<Sample> sent, screen;
};

std::vector<plot::Entry> legend(const Ui& ui, const Lines& lines) {
    std::vector<plot::Entry> all;
    const auto add = [&](int pen, T label) {
        all.push_back({plot::Entry::Kind::line, plot::pen(ui, pen), ui.t(label)});
    };
    add(0, lines.device != nullptr ? T::motion_line_edited : T::motion_line_promise);
    if (lines.device != nullptr) add(1, T::motion_line_device);
    // Always there, so that a press moves nothing.
    add(2, T::motion_line_sent);
    if (!lines.screen.empty()) add(3, T::motion_line_screen);
    return all;
}

void draw(Page& page, const ui::Canvas& canvas, const Lines& lines, std::optional<double> running) {
    Ui& ui = page.ui;
    MotionState& state = page.state;
    const double until = until_us(page);
    const plot::PilotLimits limits{.all = {0, until}, .least_span = 50e3, .step = 1000};
    double most = std::max(greatest(*lines.edited, until), greatest(lines.sent, until));
    if (lines.device != nullptr) most = std::max(most, greatest(*lines.device, until));
    most = std::max(most, greatest(lines.screen, until));
    const char point = decimal_point(ui);
    const T unit = state.shows_way ? T::motion_unit_counts : T::motion_unit_counts_per_s;
    plot::Plot plot(ui, canvas,
                    {.range = plot::view_of(state.pilot, limits),
                     .quantity = plot::Quantity::time,
                     .decimal_point = point},
                    {.range = plot::from_zero(most), .unit = ui.t(unit), .decimal_point = point},
                    legend(ui, lines));
    plot::work(state.pilot, limits, canvas, plot.inner());
    if (lines.device != nullptr) plot.line(*lines.device, plot::pen(ui, 1));
    plot.line(*lines.edited, plot::pen(ui, 0));
    if (!lines.screen.empty()) plot.line(lines.screen, plot::pen(ui, 3));
    if (state.shows_way)
        plot.steps(lines.sent, plot::pen(ui, 2));
    else
        plot.line(lines.sent, plot::pen(ui, 2));
    if (state.pilot.cursor)
        plot.crosshair(*state.pilot.cursor, value_at(*lines.edited, *state.pilot.cursor, state.shows_way));
    if (!running) return;
    const double at = std::min(*running, until);
    const auto& along = lines.device != nullptr ? *lines.device : *lines.edited;
    plot.mark(at, value_at(along, at, state.shows_way), plot::Shape::diamond, plot::pen(ui, 4),
              ui.t(T::motion_now));
}

void quantity_options(Page& page) {
    Ui& ui = page.ui;
    ui.row();
    if (ui.option("motion.show.speed", ui.t(T::motion_show_speed), !page.state.shows_way))
        page.state.shows_way = false;
    if (ui.option("motion.show.way", ui.t(T::motion_show_way), page.state.shows_way))
        page.state.shows_way = true;
    ui.end_row();
}

}  // namespace

double screen_ratio(const PointerAnswer& answer, double counts_per_s) {
    const double span = answer.fast_counts_per_s - answer.slow_counts_per_s;
    const double share =
        span > 0 ? std::clamp((counts_per_s - answer.slow_counts_per_s) / span, 0.0, 1.0) : 0;
    return answer.slow_ratio + share * (answer.fast_ratio - answer.slow_ratio);
}

void curve(Page& page) {
    Ui& ui = page.ui;
    ui.group("motion.curve", ui.t(T::motion_curve));
    ui.heading(ui.t(T::motion_curve));
    quantity_options(page);
    const auto edited = page.curve(), device = page.device_curve();
    const auto running = running_us(page);
    const bool is_compiled = edited->is_compiled;
    const std::string words = is_compiled ? described(page, *edited) : ui.t(T::motion_cannot_compile);
    const T label = page.state.shows_way ? T::motion_plot_way : T::motion_plot_speed;
    const int crosshair_lines = lines_for(ui, {longest_crosshair(page), ui.t(T::motion_crosshair_help)});
    const std::string& told =
        page.state.crosshair_text.say(ui.now_ms(), ui.options().lit_ms, crosshair_words(page));
    const ui::Canvas canvas = ui.canvas("motion.plot", ui.t(label), words + " " + told, k_plot_px);
    const Lines lines{&shown(page, *edited), device ? &shown(page, *device) : nullptr, sent(page),
                      on_screen(page, *edited)};
    draw(page, canvas, lines, running);
    if (!is_compiled) ui.note(ui::NoteKind::problem, ui.t(T::motion_cannot_compile));
    ui.live("motion.crosshair", crosshair_lines, told);
    ui.live("motion.hold", lines_for(ui, {longest_hold(page), ui.t(T::motion_hold_none)}),
            page.state.hold_text.say(ui.now_ms(), ui.options().lit_ms, hold_words(page, running)));
    ui.end_group();
}

}  // namespace fettle::app::motion_page
