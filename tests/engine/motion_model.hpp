#pragma once
// The slow, obvious model: what motion.hpp promises, in long double, from the whole table at once.

#include <algorithm>
#include <cmath>
#include <map>

#include "tests/engine/motion_rig.hpp"

namespace motion_test {

/// Continuous inputs, one travel set; a hold may be joined. Gives the exact sum since the hold began.
class Model {
public:
    Model(const Travel& set) : set_(set) {}

    void press(uint8_t input, Direction d, long double gain = 1) {
        const bool is_first = held_.empty();
        if (is_first) begin_hold(gain);
        long double step = set_.first_step * gain_of_press(is_first, gain);
        if (!is_first && is_past_delay_ && step > 0) step = 1;
        if (step > 0) {
            fresh_x_ += k_x[static_cast<int>(d)];
            fresh_y_ += k_y[static_cast<int>(d)];
            fresh_ = std::max(fresh_, step);
        }
        held_[input] = d;
    }
    void lift(uint8_t input) { held_.erase(input); }
    bool is_holding() const { return !held_.empty(); }

    void tick(long double scale) {
        if (fresh_ > 0) add(sign(fresh_x_), sign(fresh_y_), fresh_ * scale);
        fresh_ = 0;
        fresh_x_ = fresh_y_ = 0;
        if (held_.empty()) return;
        if (since_ms_++ < set_.delay_ms) return;
        is_past_delay_ = true;
        int sx = 0, sy = 0;
        for (const auto& [input, d] : held_) {
            sx += k_x[static_cast<int>(d)];
            sy += k_y[static_cast<int>(d)];
        }
        if (sx == 0 && sy == 0) return;
        add(sign(sx), sign(sy), speed(travel_ms_++) * scale);
    }

    long double x = 0, y = 0;  // exact

    /// Counts a ms, e ms into travel.
    long double speed(uint32_t e) const {
        for (uint32_t k = 0; k < 8; ++k) {
            const uint32_t from = set_.ramp_ms * k / 8, to = set_.ramp_ms * (k + 1) / 8;
            if (e < from || e >= to) continue;
            const long double part = static_cast<long double>(e - from) / (to - from);
            return (point(k) + (point(k + 1) - point(k)) * part) / 65536;
        }
        return point(8) / 65536;
    }

private:
    static int sign(int v) { return (v > 0) - (v < 0); }
    static long double gain_of_press(bool is_first, long double gain) { return is_first ? gain : 1; }
    long double point(uint32_t k) const {
        const long double gained = std::floor(static_cast<long double>(set_.points[k]) * gain_);
        return std::min(gained, 16777215.0L);
    }
    void begin_hold(long double gain) {
        gain_ = gain;
        since_ms_ = travel_ms_ = 0;
        is_past_delay_ = false;
        x = y = 0;
    }
    void add(int sx, int sy, long double length) {
        if (sx != 0 && sy != 0) length *= 46341.0L / 65536;
        x += sx * length;
        y += sy * length;
    }

    Travel set_;
    std::map<uint8_t, Direction> held_;
    long double gain_ = 1, fresh_ = 0;
    int fresh_x_ = 0, fresh_y_ = 0;
    uint32_t since_ms_ = 0, travel_ms_ = 0;
    bool is_past_delay_ = false;
};

}  // namespace motion_test
