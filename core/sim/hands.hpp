#pragma once
// Virtual inputs: an infrared remote that emits real pulse trains, switches that bounce, a stick and a
// pressure tube. They make the edges that the device's pins would see, in order of time.

#include <array>
#include <cstdint>
#include <deque>
#include <functional>
#include <optional>
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
    /// has them. toggle: RC-5 and RC-6 remotes flip it at every press by themselves. A remote sends one
    /// button at a time: a press that would begin while another one's train is on the air, or end inside a
    /// later one's, begins 20 ms (own choice) after that train's end, and its hold counts from there. Gives
    /// the time at which the last frame ended.
    std::uint64_t press_remote(const engine::IrFrame& button, std::uint64_t at_us, std::uint32_t hold_ms);
    /// Holds a button of the remote from `at_us` until let_go(): as press_remote(), for a hold whose end
    /// nobody knows yet. The hold before, if one goes on, and any press_remote() that comes end it. Gives the
    /// time at which the first frame begins; a button that nobody can send is not held.
    std::uint64_t hold_remote(const engine::IrFrame& button, std::uint64_t at_us);
    /// The button is up at `at_us`: no repeat begins from then on; a frame on the air is finished, and the
    /// first one is sent in any case. Gives the time at which the last frame ends. Without a hold: `at_us`.
    std::uint64_t let_go(std::uint64_t at_us);
    bool is_remote_held() const { return hold_.has_value(); }
    /// Closes a switch line (pull-up: closed is low) and opens it again. Gives the time of the last edge.
    std::uint64_t press_switch(std::uint8_t line, std::uint64_t at_us, std::uint32_t hold_ms);
    void close_switch(std::uint8_t line, std::uint64_t at_us);
    void open_switch(std::uint8_t line, std::uint64_t at_us);
    /// Deflection in permille, -1000 to 1000 (beyond: as far as it goes), from `at_us` on. axis: 0 to 3.
    void set_axis(std::uint8_t axis, std::uint64_t at_us, std::int16_t permille);
    /// Any train on any line, mark first, whatever else is on the air then.
    void play(std::uint8_t line, std::uint64_t at_us, std::span<const std::uint32_t> widths_us);
    /// One edge. A time that was already taken counts as the latest one that was.
    void edge(std::uint8_t line, std::uint64_t at_us, bool level);
    /// The same, by the host's `inject`: it is not told to note_to().
    void inject(std::uint8_t line, std::uint64_t at_us, bool level);

    /// What the pins did up to and including `now_us` and was not taken yet, in order of time.
    std::vector<engine::Edge> take(std::uint64_t now_us);
    const std::array<std::int16_t, engine::k_axes>& axes(std::uint64_t now_us);
    /// How the switch lines stand after what was taken: an edge at `now_us` for each line that ever had one.
    std::vector<engine::Edge> levels(std::uint64_t now_us) const;
    /// Told of everything that take() and axes() hand out, but for what the host injected: edges (line,
    /// level) and deflections (axis, permille).
    struct Note {
        std::uint64_t at_us = 0;
        bool is_axis = false;
        std::uint8_t number = 0;
        std::int16_t value = 0;
        bool operator==(const Note&) const = default;
    };
    using Noter = std::function<void(const Note&)>;
    void note_to(Noter noter) { noter_ = std::move(noter); }
    bool is_quiet() const { return edges_.empty() && moves_.empty() && !hold_; }

    /// Repeats that were sent but not heard, so far.
    std::uint32_t repeats_lost() const { return repeats_lost_; }

private:
    struct PinEdge {
        std::uint64_t at_us;
        std::uint8_t line;
        std::uint8_t level;
        bool is_injected = false;
        std::uint64_t bounce_of_us = 0;  ///< the change that it is a bounce of, 0: none
    };
    struct Span {
        std::uint64_t from_us, to_us;
    };
    /// A button on its way: frame i begins at start_us + i * period_us.
    struct Press {
        std::vector<std::uint32_t> first, held;
        double clock = 1.0;
        std::uint64_t start_us = 0, period_us = 0;
        std::uint64_t sent = 0;         ///< frames that were played or lost
        std::uint64_t last_end_us = 0;  ///< of the last one that is heard
    };
    struct AxisMove {
        std::uint64_t at_us;
        std::uint8_t axis;
        std::int16_t permille;
    };
    std::optional<Press> take_up(const engine::IrFrame& button);
    void send_frame(Press& press, bool is_last);
    void send_due(std::uint64_t now_us);
    void insert(const PinEdge& edge);
    void change(std::uint8_t line, std::uint64_t at_us, std::uint8_t level);
    void maybe_noise(std::uint64_t from_us, std::uint64_t to_us);
    std::uint64_t free_air(std::uint64_t at_us, std::uint64_t long_us) const;

    std::mt19937 random_;
    Air air_;
    Contact contact_;
    std::deque<PinEdge> edges_;
    std::deque<AxisMove> moves_;
    std::vector<Span> trains_;  ///< on the air, in order of time
    std::optional<Press> hold_;
    Noter noter_;
    std::uint64_t taken_us_ = 0;
    std::array<std::uint8_t, engine::k_switch_lines + 1> levels_{};
    std::array<bool, engine::k_switch_lines + 1> is_known_{};
    std::array<std::int16_t, engine::k_axes> axes_{};
    std::uint32_t repeats_lost_ = 0;
    std::uint8_t toggle_ = 0;
};

}  // namespace fettle::sim
