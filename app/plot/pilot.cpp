#include "app/plot/pilot.hpp"

#include <algorithm>
#include <cmath>

namespace fettle::app::plot {

namespace {

constexpr double k_fast = 10;    // own choice: shift's steps
constexpr double k_zoom = 0.5;   // own choice: each + shows half
constexpr float k_grip_px = 22;  // half of the least target's 44 px

void show(PilotState& state, const PilotLimits& limits, Range wanted) {
    const double most = limits.all.span();
    const double least = std::min(limits.least_span, most);
    const double span = std::clamp(wanted.span(), least, most);
    const double middle = (wanted.from + wanted.to) / 2;
    double from = wanted.span() == span ? wanted.from : middle - span / 2;
    from = std::clamp(from, limits.all.from, limits.all.to - span);
    if (span >= most)
        state.view.reset();
    else
        state.view = Range{from, from + span};
}

/// The crosshair is always in what is seen.
void bring_into_view(PilotState& state, const PilotLimits& limits) {
    if (!state.cursor) return;
    const Range view = view_of(state, limits);
    if (view.contains(*state.cursor)) return;
    const double by = *state.cursor < view.from ? *state.cursor - view.from : *state.cursor - view.to;
    show(state, limits, {view.from + by, view.to + by});
}

/// Multiples of limits.step, at least a pixel.
double cursor_step(const Range& view, const PilotLimits& limits, float width_px) {
    const double pixel = view.span() / std::max(1.0, static_cast<double>(width_px));
    const double step = limits.step > 0 ? limits.step : pixel;
    return step * std::max(1.0, std::ceil(pixel / step - 1e-9));
}

void put_cursor(PilotState& state, const PilotLimits& limits, double at) {
    const double step = limits.step > 0 ? limits.step : 1;
    state.cursor = std::clamp(std::round(at / step) * step, limits.all.from, limits.all.to);
}

double start_of_cursor(const PilotState& state, const PilotLimits& limits) {
    const Range view = view_of(state, limits);
    return state.cursor ? *state.cursor : (view.from + view.to) / 2;
}

double put_threshold(const Threshold& t, double at) {
    const double step = t.step > 0 ? t.step : 1;
    return std::clamp(std::round(at / step) * step, t.least, t.most);
}

struct Hand {
    PilotState& state;
    const PilotLimits& limits;
    std::span<const Threshold> thresholds;
    float width_px;
    std::optional<Moved> moved = std::nullopt;

    const Threshold* chosen() const {
        const bool is_any = state.chosen >= 0 && static_cast<std::size_t>(state.chosen) < thresholds.size();
        return is_any ? &thresholds[static_cast<std::size_t>(state.chosen)] : nullptr;
    }
    /// Several keys of one frame follow each other.
    double threshold_now(const Threshold& t) const {
        const bool is_it = moved && moved->index == static_cast<std::size_t>(state.chosen);
        return is_it ? moved->to : t.at;
    }
    void move_threshold(double to) {
        const Threshold* t = chosen();
        if (t == nullptr) return;
        const double at = put_threshold(*t, to);
        if (at != threshold_now(*t)) moved = Moved{static_cast<std::size_t>(state.chosen), at};
    }
    void step(double sign, bool is_fast) {
        const double times = sign * (is_fast ? k_fast : 1);
        if (const Threshold* t = chosen()) {
            move_threshold(threshold_now(*t) + times * (t->step > 0 ? t->step : 1));
            return;
        }
        const Range view = view_of(state, limits);
        const double from = start_of_cursor(state, limits);
        put_cursor(state, limits, state.cursor ? from + times * cursor_step(view, limits, width_px) : from);
        bring_into_view(state, limits);
    }
    void to_end(bool is_last) {
        if (const Threshold* t = chosen()) {
            move_threshold(is_last ? t->most : t->least);
            return;
        }
        const Range view = view_of(state, limits);
        state.cursor = is_last ? view.to : view.from;
    }
    void choose(int by) {
        const int count = static_cast<int>(thresholds.size());
        state.chosen = std::clamp(state.chosen + by, -1, count - 1);
    }
};

void take_key(Hand& hand, const ui::KeyEvent& key) {
    if (!key.is_down || key.control || key.alt) return;
    switch (key.key) {
        case ui::Key::left: return hand.step(-1, key.shift);
        case ui::Key::right: return hand.step(1, key.shift);
        case ui::Key::home: return hand.to_end(false);
        case ui::Key::end: return hand.to_end(true);
        case ui::Key::plus: return zoom(hand.state, hand.limits, k_zoom);
        case ui::Key::minus: return zoom(hand.state, hand.limits, 1 / k_zoom);
        case ui::Key::page_up: return pan(hand.state, hand.limits, -0.5);
        case ui::Key::page_down: return pan(hand.state, hand.limits, 0.5);
        case ui::Key::up: return hand.choose(-1);
        case ui::Key::down: return hand.choose(1);
        default: break;
    }
    if (key.text == "+") zoom(hand.state, hand.limits, k_zoom);
    if (key.text == "-") zoom(hand.state, hand.limits, 1 / k_zoom);
}

/// The threshold under the pointer, the closest one.
int gripped(const PilotState& state, const PilotLimits& limits, const ui::Rect& inner, float x,
            std::span<const Threshold> thresholds) {
    const Range view = view_of(state, limits);
    int best = -1;
    double closest = k_grip_px;
    for (std::size_t i = 0; i < thresholds.size(); ++i) {
        const double px = static_cast<double>(inner.x) +
                          (thresholds[i].at - view.from) / view.span() * static_cast<double>(inner.w);
        const double apart = std::abs(px - static_cast<double>(x));
        if (apart > closest) continue;
        closest = apart;
        best = static_cast<int>(i);
    }
    return best;
}

void take_pointer(Hand& hand, const ui::Canvas& canvas, const ui::Rect& inner) {
    PilotState& state = hand.state;
    if (!canvas.pointer_down) state.is_dragging = false;
    if (!canvas.pointer) return;
    const Range view = view_of(state, hand.limits);
    const double share = static_cast<double>((canvas.pointer->x - inner.x) / std::max(1.0f, inner.w));
    const double at = view.from + std::clamp(share, 0.0, 1.0) * view.span();
    if (canvas.pointer_down && !state.is_dragging) {
        const int grip = gripped(state, hand.limits, inner, canvas.pointer->x, hand.thresholds);
        state.is_dragging = grip >= 0;
        if (grip >= 0) state.chosen = grip;
    }
    if (state.is_dragging)
        hand.move_threshold(at);
    else if (canvas.pointer_down || (hand.limits.follows_pointer && !canvas.is_entered))
        put_cursor(state, hand.limits, at);
    if (canvas.is_entered && canvas.wheel != 0)
        zoom(state, hand.limits, canvas.wheel > 0 ? k_zoom : 1 / k_zoom);
}

}  // namespace

Range view_of(const PilotState& state, const PilotLimits& limits) {
    if (!state.view || !(state.view->span() > 0)) return limits.all;
    // What there is to see may have changed since.
    PilotState now;
    now.view = state.view;
    show(now, limits, *state.view);
    return now.view ? *now.view : limits.all;
}

void zoom(PilotState& state, const PilotLimits& limits, double factor) {
    const Range view = view_of(state, limits);
    const double about =
        state.cursor && view.contains(*state.cursor) ? *state.cursor : (view.from + view.to) / 2;
    const double least = std::min(limits.least_span, limits.all.span());
    const double span = std::clamp(view.span() * factor, least, limits.all.span());
    const double share = (about - view.from) / view.span();
    show(state, limits, {about - share * span, about + (1 - share) * span});
}

void pan(PilotState& state, const PilotLimits& limits, double by) {
    const Range view = view_of(state, limits);
    const double move = by * view.span();
    show(state, limits, {view.from + move, view.to + move});
    if (!state.cursor) return;
    const Range now = view_of(state, limits);
    state.cursor = std::clamp(*state.cursor, now.from, now.to);
}

std::optional<Moved> work(PilotState& state, const PilotLimits& limits, const ui::Canvas& canvas,
                          const ui::Rect& inner, std::span<const Threshold> thresholds) {
    state.chosen = std::min(state.chosen, static_cast<int>(thresholds.size()) - 1);
    Hand hand{state, limits, thresholds, inner.w};
    if (canvas.was_activated && !state.cursor && !canvas.pointer)
        put_cursor(state, limits, start_of_cursor(state, limits));
    for (const ui::KeyEvent& key : canvas.keys) take_key(hand, key);
    take_pointer(hand, canvas, inner);
    return hand.moved;
}

}  // namespace fettle::app::plot
