#pragma once
// A setup with motion sets only, and a clock that calls a Motion once a ms and adds up what it gives.

#include <cstdint>
#include <ostream>
#include <vector>

#include "core/engine/motion.hpp"

namespace motion_test {

using fettle::engine::Direction;
using fettle::engine::k_curve_points;
using fettle::engine::Motion;
using fettle::engine::Setup;

struct Travel {
    uint16_t delay_ms = 0;
    uint8_t first_step = 1;
    uint16_t ramp_ms = 0;
    uint16_t window_ms = 0;
    uint16_t gain_permille = 1000;
    std::vector<uint32_t> points = std::vector<uint32_t>(k_curve_points, 0);  // Q16 counts a ms
};

struct MouseKeys {
    uint16_t delay_ms = 160;
    uint16_t interval_ms = 40;
    std::vector<uint16_t> moves;
};

inline std::vector<uint32_t> flat(uint32_t q16) {
    return std::vector<uint32_t>(k_curve_points, q16);
}

inline std::vector<uint32_t> line(uint32_t from_q16, uint32_t to_q16) {
    std::vector<uint32_t> points;
    for (uint32_t k = 0; k < k_curve_points; ++k) points.push_back(from_q16 + (to_q16 - from_q16) * k / 8);
    return points;
}

inline void put(Setup& setup, std::vector<uint8_t> body) {
    setup.bytes[setup.used++] = static_cast<uint8_t>(body.size());
    for (const uint8_t byte : body) setup.bytes[setup.used++] = byte;
    ++setup.motion_count;
}

inline void push16(std::vector<uint8_t>& to, uint16_t v) {
    to.push_back(static_cast<uint8_t>(v & 0xFF));
    to.push_back(static_cast<uint8_t>(v >> 8));
}

// The record's layout is written down in core/engine/setup.hpp.
inline void add(Setup& setup, const Travel& t) {
    std::vector<uint8_t> body{0};
    push16(body, t.delay_ms);
    body.push_back(t.first_step);
    push16(body, t.ramp_ms);
    push16(body, t.window_ms);
    push16(body, t.gain_permille);
    for (const uint32_t point : t.points) {
        push16(body, static_cast<uint16_t>(point & 0xFFFF));
        body.push_back(static_cast<uint8_t>(point >> 16));
    }
    put(setup, body);
}

inline void add(Setup& setup, const MouseKeys& m) {
    std::vector<uint8_t> body{1};
    push16(body, m.delay_ms);
    push16(body, m.interval_ms);
    body.push_back(static_cast<uint8_t>(m.moves.size() - 1));
    for (const uint16_t move : m.moves) push16(body, move);
    put(setup, body);
}

struct Counts {
    int64_t x = 0, y = 0;
    bool operator==(const Counts&) const = default;
    friend std::ostream& operator<<(std::ostream& to, const Counts& c) { return to << c.x << ' ' << c.y; }
};

/// Presses happen at now_ms, before that ms's tick; run() then ticks.
class Rig {
public:
    template <class... Sets>
    explicit Rig(const Sets&... sets) {
        clear(setup);
        (add(setup, sets), ...);
        motion.reset();
    }
    void press(uint8_t input, Direction d, uint8_t set = 0, bool is_continuous = true) {
        motion.begin(input, d, set, now_ms, is_continuous, setup);
    }
    void lift(uint8_t input) { motion.end(input, now_ms); }
    void hear(uint8_t input) { motion.heard(input, now_ms); }
    Counts tick() {
        int16_t dx = 99, dy = 99;
        motion.tick(now_ms++, setup, dx, dy);
        total.x += dx;
        total.y += dy;
        return {dx, dy};
    }
    Counts run(uint32_t ms) {
        const Counts before = total;
        for (uint32_t i = 0; i < ms; ++i) tick();
        return {total.x - before.x, total.y - before.y};
    }
    /// One press of `ms`, then silence for `after` ms.
    Counts hold(Direction d, uint32_t ms, uint32_t after = 100, uint8_t set = 0) {
        const Counts before = total;
        press(1, d, set);
        run(ms);
        lift(1);
        run(after);
        return {total.x - before.x, total.y - before.y};
    }

    Setup setup;
    Motion motion;
    uint16_t now_ms = 65000;  // so that the 16-bit clock wraps early in every test
    Counts total;
};

inline constexpr Direction k_all[8] = {Direction::up,         Direction::up_right, Direction::right,
                                       Direction::down_right, Direction::down,     Direction::down_left,
                                       Direction::left,       Direction::up_left};
inline constexpr int k_x[8] = {0, 1, 1, 1, 0, -1, -1, -1};
inline constexpr int k_y[8] = {-1, -1, 0, 1, 1, 1, 0, -1};

/// One count a ms in Q16.
inline constexpr uint32_t k_one = 65536;

}  // namespace motion_test
