#pragma once
// What a motion does, in figures: each comes out of running engine::Motion over a made-up press. There is no
// second implementation of motion. Thread: pure functions. Errors: none.

#include <array>
#include <cstdint>
#include <optional>
#include <vector>

#include "core/engine/motion.hpp"
#include "core/profile/model.hpp"

namespace fettle::profile {

/// How an input tells that it was let go. A switch tells at once. An infrared remote never does: frames end
/// every `period_ms` while the finger is down, and `holdover_ms` after the end of the last one is the
/// release.
struct PressSource {
    bool is_continuous = true;
    uint16_t holdover_ms = 0;
    uint16_t period_ms = 0;  ///< above 0 for infrared
    uint16_t frame_ms = 0;   ///< length of a repeat: one that has begun is finished though the finger is up
    bool operator==(const PressSource&) const = default;
};
[[nodiscard]] PressSource switch_source();
/// NEC as an example: period 108 ms, repeat frame 12 ms.
[[nodiscard]] PressSource infrared_source(uint16_t holdover_ms, uint16_t period_ms, uint16_t frame_ms);

/// A setup with this one motion, number 0. No motion at all when its moves cannot be compiled.
[[nodiscard]] engine::Setup motion_setup(const Motion& motion);

/// One press, from the ms in which the engine takes it as down (infrared: the end of its first frame).
struct HoldFigure {
    uint32_t finger_up_ms = 0;    ///< as asked
    uint32_t released_ms = 0;     ///< the engine's release
    uint32_t still_ms = 0;        ///< first ms without motion until the next press
    int64_t counts = 0;           ///< along the axis (a diagonal: on each axis)
    int64_t counts_after_up = 0;  ///< those that came once the finger was up: the overshoot
    bool operator==(const HoldFigure&) const = default;
};

/// hold_ms: 1 to 60000. Infrared: with a holdover below the period less a frame, the hold falls to pieces
/// (each gap ends a press): that is run as the device would, and the last release is told.
[[nodiscard]] HoldFigure run_hold(const engine::Setup& setup, uint8_t motion, engine::Direction direction,
                                  const PressSource& source, uint32_t hold_ms);

/// Where the pointer stands after each ms of a hold that goes on: element i after ms i. For drawing.
[[nodiscard]] std::vector<int64_t> run_path(const engine::Setup& setup, uint8_t motion,
                                            const PressSource& source, uint32_t ms);

/// Speed t ms after the press: counts of the window that begins there.
struct SpeedFigure {
    uint32_t at_ms = 0;
    double counts_per_s = 0;
    bool operator==(const SpeedFigure&) const = default;
};

/// Least and most over all moments at which the finger may lift between two frames (a switch: equal).
struct StopFigure {
    uint32_t finger_up_ms = 0;    ///< of the earliest of those moments
    uint32_t least_still_ms = 0;  ///< from finger up to pointer still
    uint32_t most_still_ms = 0;
    int64_t least_counts = 0;  ///< counts after finger up
    int64_t most_counts = 0;
    bool operator==(const StopFigure&) const = default;
};

inline constexpr uint32_t k_tap_ms = 100;     ///< a tap's press (our own choice)
inline constexpr uint32_t k_window_ms = 100;  ///< of a SpeedFigure
inline constexpr int64_t k_screen_counts = 1920;
inline constexpr uint32_t k_longest_run_ms = 60000;

struct MotionFigures {
    int64_t tap_counts = 0;               ///< one press of k_tap_ms, nothing before it
    int64_t smallest_counts = 0;          ///< the fewest that a press can give: down for one ms
    std::array<HoldFigure, 3> holds;      ///< 500, 1000 and 2000 ms
    std::vector<SpeedFigure> speeds;      ///< at 250, 500, 1000, 2000 and 4000 ms
    std::optional<uint32_t> crossing_ms;  ///< to k_screen_counts; nothing: not within k_longest_run_ms
    StopFigure stop;                      ///< lifting after 1000 ms and up to one period later
    bool operator==(const MotionFigures&) const = default;
};

/// All of them for a press to the right at scale 1000. motion: below setup.motion_count.
[[nodiscard]] MotionFigures motion_figures(const engine::Setup& setup, uint8_t motion,
                                           const PressSource& source);

}  // namespace fettle::profile
