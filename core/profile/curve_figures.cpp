#include "core/profile/curve_figures.hpp"

#include <algorithm>

#include "core/profile/curve.hpp"

namespace fettle::profile {

namespace {

constexpr uint8_t k_input = 0;

/// The finger, the input and a Motion, ms by ms.
class Run {
public:
    Run(const engine::Setup& setup, uint8_t motion, engine::Direction direction, const PressSource& source)
        : setup_(setup), number_(motion), direction_(direction), source_(source) {
        motion_.reset();
    }

    /// One ms. is_finger_down: whether the finger is on the button in it.
    void step(bool is_finger_down) {
        hear(is_finger_down);
        if (is_down_ && !source_.is_continuous && now_ms_ >= heard_ms_ + source_.holdover_ms) lift();
        if (is_down_ && source_.is_continuous && !is_finger_down) lift();
        int16_t dx = 0, dy = 0;
        motion_.tick(static_cast<uint16_t>(now_ms_), setup_, dx, dy);
        const int64_t moved = dx != 0 ? dx : dy;
        counts_ += moved < 0 ? -moved : moved;
        if (moved != 0) still_ms_ = now_ms_ + 1;
        ++now_ms_;
    }

    uint32_t released_ms() const { return released_ms_; }
    uint32_t still_ms() const { return still_ms_; }
    int64_t counts() const { return counts_; }

private:
    void hear(bool is_finger_down) {
        if (source_.is_continuous) {
            if (is_finger_down && !is_down_) press();
            return;
        }
        // A frame that ends now had begun frame_ms ago, while the finger was down.
        if (is_finger_down) finger_ms_ = now_ms_;
        if (now_ms_ != next_frame_ms_ || now_ms_ > finger_ms_ + source_.frame_ms) return;
        next_frame_ms_ += std::max<uint32_t>(source_.period_ms, 1);
        heard_ms_ = now_ms_;
        if (is_down_)
            motion_.heard(k_input, static_cast<uint16_t>(now_ms_));
        else
            press();
    }
    void press() {
        is_down_ = true;
        motion_.begin(k_input, direction_, number_, static_cast<uint16_t>(now_ms_), source_.is_continuous,
                      setup_);
    }
    void lift() {
        is_down_ = false;
        released_ms_ = now_ms_;
        motion_.end(k_input, static_cast<uint16_t>(now_ms_));
    }

    const engine::Setup& setup_;
    uint8_t number_;
    engine::Direction direction_;
    PressSource source_;
    engine::Motion motion_;
    bool is_down_ = false;
    uint32_t now_ms_ = 0, finger_ms_ = 0, heard_ms_ = 0, next_frame_ms_ = 0;
    uint32_t released_ms_ = 0, still_ms_ = 0;
    int64_t counts_ = 0;
};

StopFigure stop_figure(const engine::Setup& setup, uint8_t motion, const PressSource& source) {
    StopFigure stop;
    const uint32_t first = 1000;
    const uint32_t moments = source.is_continuous ? 1 : std::max<uint32_t>(source.period_ms, 1);
    for (uint32_t up = first; up < first + moments; ++up) {
        const HoldFigure hold = run_hold(setup, motion, engine::Direction::right, source, up);
        const uint32_t still = hold.still_ms > up ? hold.still_ms - up : 0;
        const bool is_first = up == first;
        stop.least_still_ms = is_first ? still : std::min(stop.least_still_ms, still);
        stop.most_still_ms = std::max(stop.most_still_ms, still);
        stop.least_counts =
            is_first ? hold.counts_after_up : std::min(stop.least_counts, hold.counts_after_up);
        stop.most_counts = std::max(stop.most_counts, hold.counts_after_up);
    }
    stop.finger_up_ms = first;
    return stop;
}

}  // namespace

PressSource switch_source() {
    return {};
}

PressSource infrared_source(uint16_t holdover_ms, uint16_t period_ms, uint16_t frame_ms) {
    return {.is_continuous = false, .holdover_ms = holdover_ms, .period_ms = period_ms, .frame_ms = frame_ms};
}

engine::Setup motion_setup(const Motion& motion) {
    engine::Setup setup;
    engine::clear(setup);
    const auto record = std::visit([](const auto& family) { return motion_record(family); }, motion.family);
    if (record.empty()) return setup;
    std::copy(record.begin(), record.end(), setup.bytes);
    setup.used = static_cast<uint16_t>(record.size());
    setup.motion_count = 1;
    return setup;
}

HoldFigure run_hold(const engine::Setup& setup, uint8_t motion, engine::Direction direction,
                    const PressSource& source, uint32_t hold_ms) {
    Run run(setup, motion, direction, source);
    for (uint32_t ms = 0; ms < hold_ms; ++ms) run.step(true);
    HoldFigure figure{.finger_up_ms = hold_ms};
    const int64_t before = run.counts();
    const uint32_t last = hold_ms + source.frame_ms + source.holdover_ms + source.period_ms + 1u;
    for (uint32_t ms = hold_ms; ms <= last; ++ms) run.step(false);
    figure.released_ms = run.released_ms();
    figure.still_ms = run.still_ms();
    figure.counts = run.counts();
    figure.counts_after_up = run.counts() - before;
    return figure;
}

std::vector<int64_t> run_path(const engine::Setup& setup, uint8_t motion, const PressSource& source,
                              uint32_t ms) {
    Run run(setup, motion, engine::Direction::right, source);
    std::vector<int64_t> path;
    path.reserve(ms);
    for (uint32_t i = 0; i < ms; ++i) {
        run.step(true);
        path.push_back(run.counts());
    }
    return path;
}

MotionFigures motion_figures(const engine::Setup& setup, uint8_t motion, const PressSource& source) {
    MotionFigures figures;
    const auto hold = [&](uint32_t ms) {
        return run_hold(setup, motion, engine::Direction::right, source, ms);
    };
    figures.tap_counts = hold(k_tap_ms).counts;
    figures.smallest_counts = hold(1).counts;
    figures.holds = {hold(500), hold(1000), hold(2000)};
    const std::vector<int64_t> path = run_path(setup, motion, source, k_longest_run_ms);
    for (const uint32_t at : {250u, 500u, 1000u, 2000u, 4000u}) {
        const int64_t counts = path[at + k_window_ms - 1] - path[at - 1];
        figures.speeds.push_back({at, static_cast<double>(counts) * 1000.0 / k_window_ms});
    }
    const auto there = std::lower_bound(path.begin(), path.end(), k_screen_counts);
    if (there != path.end()) figures.crossing_ms = static_cast<uint32_t>(there - path.begin()) + 1;
    figures.stop = stop_figure(setup, motion, source);
    return figures;
}

}  // namespace fettle::profile
