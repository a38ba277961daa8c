#pragma once
// A joystick with somebody's hand on it, and records for it.

#include <doctest/doctest.h>

#include <cmath>
#include <cstdint>
#include <numbers>

#include "core/engine/stick.hpp"

namespace fettle::engine::stick_test {

constexpr double k_turn = 2 * std::numbers::pi;
constexpr unsigned k_look_ms = k_stick_look_ms;

/// Nothing changes: no dead zone, no rotation, no filter, gains of 1; at rest within 200 permille.
inline StickDef plain() {
    StickDef def = {};
    def.rest_limit = 50;
    for (uint8_t& gain : def.gains) gain = 64;
    return def;
}

/// Counts a ms at full deflection, in a straight line from 0.
inline StickDef straight(double counts_a_ms) {
    StickDef def = plain();
    def.style = StickStyle::speed;
    def.dead_permille = 100;
    for (unsigned k = 0; k < k_curve_points; ++k)
        def.points[k] = static_cast<uint16_t>(std::lround(counts_a_ms * k / 8 * 65536));
    return def;
}

inline StickDef directions(bool is_eight, uint8_t hysteresis = 6) {
    StickDef def = plain();
    def.dead_permille = 100;
    def.flags = is_eight ? k_stick_eight : uint8_t{0};
    def.on_permille = 500;
    def.off_permille = 350;
    def.hysteresis = hysteresis;
    return def;
}

inline int16_t permille(double v) {
    return static_cast<int16_t>(std::lround(v));
}

/// A stick that learnt its rest at `at_x`, `at_y`. Ends every test with: let go, it is still, and 2 s bring
/// nothing.
class Rig {
public:
    explicit Rig(const StickDef& d, int at_x = 0, int at_y = 0) : def(d), rest_x(at_x), rest_y(at_y) {
        stick.reset();
        for (unsigned ms = 0; ms < k_stick_learn_ms; ms += k_look_ms) push(0, 0);
    }
    Rig(const Rig&) = delete;
    Rig& operator=(const Rig&) = delete;
    ~Rig() {
        // A low-pass comes to rest within 20 of its time constants.
        for (unsigned ms = 0; ms < 20u * def.tau_ms + 12; ms += k_look_ms) push(0, 0);
        const int64_t was_x = sum_x, was_y = sum_y;
        for (unsigned ms = 0; ms < 2000; ms += k_look_ms) {
            const StickStep step = push(0, 0);
            CHECK((step.x | step.y | step.directions) == 0);
        }
        CHECK(sum_x == was_x);
        CHECK(sum_y == was_y);
    }

    /// One look (4 ms) so far from its rest, in permille: what it brought.
    StickStep push(double x, double y) {
        last = {};
        for (unsigned ms = 0; ms < k_look_ms; ++ms) {
            const StickStep now = stick.tick(permille(rest_x + x), permille(rest_y + y), def);
            if (now.is_new) last = now;
            if (!now.is_new) CHECK((now.x | now.y | now.dx | now.dy) == 0);
            last.directions = now.directions;
        }
        sum_x += last.dx;
        sum_y += last.dy;
        return last;
    }
    StickStep push_for(double x, double y, unsigned for_ms) {
        for (unsigned ms = 0; ms < for_ms; ms += k_look_ms) push(x, y);
        return last;
    }
    /// Clockwise from up, in turns.
    StickStep aim(double turns, double by_permille) {
        return push(by_permille * std::sin(k_turn * turns), -by_permille * std::cos(k_turn * turns));
    }

    StickDef def;
    Stick stick;
    int rest_x, rest_y;
    StickStep last = {};
    int64_t sum_x = 0, sum_y = 0;
};

}  // namespace fettle::engine::stick_test
