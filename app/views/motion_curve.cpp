#include "app/views/motion_curve.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace fettle::app {

namespace {

constexpr std::size_t k_kept = 8;
constexpr double k_most_us = 30e6, k_least_us = 2e6;
constexpr double k_points = 400;
constexpr double k_half_window_us = 50e3, k_most_half_us = 200e3;
constexpr double k_window_counts = 20;

/// The way of a hold that goes on, one sample a ms; equal ones in the middle left out.
std::vector<plot::Sample> way_of(const std::vector<std::int64_t>& path) {
    std::vector<plot::Sample> way{{0, 0}};
    for (std::size_t ms = 0; ms < path.size(); ++ms) {
        const plot::Sample next{static_cast<double>(ms) * 1000 + 1000, static_cast<double>(path[ms])};
        const std::size_t n = way.size();
        if (n >= 2 && way[n - 1].y == next.y && way[n - 2].y == next.y)
            way.back().x = next.x;
        else
            way.push_back(next);
    }
    return way;
}

/// As StopFigure has it: the finger may lift at any moment between two frames.
void find_release(MotionCurve& curve, const engine::Setup& setup, const profile::PressSource& source) {
    const std::uint32_t moments = source.is_continuous ? 1 : std::max<std::uint32_t>(source.period_ms, 1);
    curve.least_release_ms = std::numeric_limits<std::uint32_t>::max();
    for (std::uint32_t up = 1000; up < 1000 + moments; ++up) {
        const auto hold = profile::run_hold(setup, 0, engine::Direction::right, source, up);
        const std::uint32_t after = hold.released_ms > up ? hold.released_ms - up : 0;
        curve.least_release_ms = std::min(curve.least_release_ms, after);
        curve.most_release_ms = std::max(curve.most_release_ms, after);
    }
}

MotionCurve run(const profile::Motion& motion, const profile::PressSource& source) {
    MotionCurve curve;
    curve.motion = motion;
    curve.source = source;
    const engine::Setup setup = profile::motion_setup(motion);
    if (setup.motion_count == 0) return curve;
    curve.is_compiled = true;
    curve.figures = profile::motion_figures(setup, 0, source);
    find_release(curve, setup, source);
    const double until_us = told_until_us(motion);
    const auto ms = static_cast<std::uint32_t>(until_us / 1000) + 500;
    curve.way = way_of(profile::run_path(setup, 0, source, ms));
    curve.speed = speed_of(curve.way, until_us);
    return curve;
}

}  // namespace

double told_until_us(const profile::Motion& motion) {
    double full_ms = 0;
    if (const auto* travel = std::get_if<profile::Travel>(&motion.family)) {
        full_ms = travel->delay_ms + travel->ramp_ms;
    } else {
        const auto& keys = std::get<profile::MouseKeys>(motion.family);
        const auto* shape = std::get_if<profile::MouseKeysShape>(&keys.moves);
        const auto* list = std::get_if<profile::MouseKeysMoves>(&keys.moves);
        const double events =
            shape != nullptr ? shape->time_to_max_events : static_cast<double>(list->counts.size());
        full_ms = keys.delay_ms + events * keys.interval_ms;
    }
    const double wanted = std::clamp(full_ms * 1300, k_least_us, k_most_us);
    return std::ceil(wanted / 500e3) * 500e3;
}

std::vector<plot::Sample> speed_of(const std::vector<plot::Sample>& way, double until_us) {
    std::vector<plot::Sample> speed;
    if (way.size() < 2) return speed;
    // What comes in the press's own ms is its first step: no speed.
    const double begin = way.front().x + 1000, end = way.back().x;
    const double step = std::max(1000.0, until_us / k_points);
    for (double at = 0; at <= until_us && at <= end; at += step) {
        double from = 0, to = 0, counts = 0;
        for (double half = k_half_window_us;; half *= 2) {
            from = std::max(begin, at - half);
            to = std::max(from + 1000, std::min(end, at + half));
            counts = plot::step_at(way, to).value_or(0) - plot::step_at(way, from).value_or(0);
            if (counts >= k_window_counts || half >= k_most_half_us) break;
        }
        speed.push_back({at, counts * 1e6 / (to - from)});
    }
    return speed;
}

std::shared_ptr<const MotionCurve> MotionCurves::of(const profile::Motion& motion,
                                                    const profile::PressSource& source) {
    // A name changes nothing.
    const auto found = std::find_if(kept_.begin(), kept_.end(), [&](const auto& c) {
        return c->motion.family == motion.family && c->source == source;
    });
    auto curve = found == kept_.end() ? std::make_shared<const MotionCurve>(run(motion, source)) : *found;
    if (found != kept_.end()) kept_.erase(found);
    kept_.push_front(curve);
    if (kept_.size() > k_kept) kept_.pop_back();
    return curve;
}

}  // namespace fettle::app
