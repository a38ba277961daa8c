#pragma once
// Virtual inputs: an infrared remote that emits real pulse trains, switches that bounce, a stick and a
// pressure tube. They make the edges that the device's pins would see, in order of time.

#include <array>
#include <cstdint>
#include <deque>
#include <random>
#include <span>
#include <vector>

#include "core/engine/infrared.hpp"
#include "core/engine/limits.hpp"
#include "core/engine/report.hpp"

namespace fettle::sim {

/// How well the remote is heard. All zero: perfectly.
struct Air {
    double edge_jitter_us = 0;         ///< standard deviation of each edge
    double clock_permille = 0;         ///< the remote's clock, faster (<0) or slower, up to ±70
    double lost_repeats_permille = 0;  ///< share of repeats that the receiver does not hear
    double noise_per_s = 0;            ///< bursts of a few edges between frames
};

/// How a switch closes. 0: cleanly.
struct Contact {
    std::uint32_t bounce_us = 0;  ///< how long it bounces after each change
    std::uint8_t bounces = 0;     ///< edge pairs in that time
};

class Hands {
public:
    explicit Hands(std::uint32_t seed = 1);

    void set_air(const Air& air) { air_ = air; }
    void set_contact(const Contact& contact) { contact_ = contact; }

    /// Holds a button of the remote from `at_us` for `hold_ms`: a first frame, then repeats as its protocol
    /// has them. toggle: RC-5 and RC-6 remotes flip it at every press by themselves. Gives the time at which
    /// the last frame ended.
    std::uint64_t press_remote(const engine::IrFrame& button, std::uint64_t at_us, std::uint32_t hold_ms);
    /// Closes a switch line (pull-up: closed is low) and opens it again. Gives the time of the last edge.
    std::uint64_t press_switch(std::uint8_t line, std::uint64_t at_us, std::uint32_t hold_ms);
    void close_switch(std::uint8_t line, std::uint64_t at_us);
    void open_switch(std::uint8_t line, std::uint64_t at_us);
    /// Deflection in permille, -1000 to 1000, from `at_us` on.
    void set_axis(std::uint8_t axis, std::uint64_t at_us, std::int16_t permille);
    /// Any train on any line: levels with the time after the edge before.
    void play(std::uint8_t line, std::uint64_t at_us, std::span<const std::uint32_t> widths_us);
    void edge(std::uint8_t line, std::uint64_t at_us, bool level);

    /// What the pins did up to and including `now_us` and was not taken yet, in order of time.
    std::vector<engine::Edge> take(std::uint64_t now_us);
    const std::array<std::int16_t, engine::k_axes>& axes(std::uint64_t now_us);
    bool is_quiet() const { return edges_.empty() && moves_.empty(); }

    /// Repeats that were sent but not heard, so far.
    std::uint32_t repeats_lost() const { return repeats_lost_; }

private:
    struct PinEdge {
        std::uint64_t at_us;
        std::uint8_t line;
        std::uint8_t level;
    };
    struct AxisMove {
        std::uint64_t at_us;
        std::uint8_t axis;
        std::int16_t permille;
    };
    void insert(const PinEdge& edge);
    void bounce(std::uint8_t line, std::uint64_t at_us, std::uint8_t level);
    void maybe_noise(std::uint64_t from_us, std::uint64_t to_us);

    std::mt19937 random_;
    Air air_;
    Contact contact_;
    std::deque<PinEdge> edges_;
    std::deque<AxisMove> moves_;
    std::array<std::int16_t, engine::k_axes> axes_{};
    std::uint32_t repeats_lost_ = 0;
    std::uint8_t toggle_ = 0;
};

}  // namespace fettle::sim
