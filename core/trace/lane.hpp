#pragma once
// What the lanes of a roll show, and what a question to one gives. Values only.

#include <cstdint>

#include "core/engine/limits.hpp"

namespace fettle::trace {

/// State lanes are on (with a number), off or unknown at each time. Mark lanes hold points; they are never
/// on.
enum class LaneKind : std::uint8_t {
    // One for each input:
    level,     ///< state: down, as the source says. Number 0
    press,     ///< state: from accepted to ended or the hold limit. Number 0
    rejected,  ///< marks: PressOutcome too_short, bounced, refractory, guarded
    gesture,   ///< marks: Gesture
    action,    ///< state: from begin to end. Action number
    // One for all (input 0):
    mode,            ///< state, always on: mode
    scale,           ///< state, always on: permille
    latched,         ///< state: latched modifiers
    locked,          ///< state: locked modifiers
    dragged,         ///< state: dragged buttons
    held,            ///< state: modifiers held by presses | buttons held by presses << 8
    keyboard,        ///< state: something is down in the keyboard report: modifiers << 8 | first usage
    buttons,         ///< state: something is down in the pointer report: buttons
    consumer,        ///< state: consumer usage
    pointer_report,  ///< marks: buttons
    infrared,        ///< marks: Protocol of a repeat, Protocol + 16 of a whole frame
    noise,           ///< marks: edges dropped
    lost,  ///< state: nothing is known, from a gap on to the next snapshot. Batches or events, at most
           ///< k_greatest_number
};
constexpr std::uint8_t k_input_lane_kinds = 5;
constexpr std::uint8_t k_lane_kinds = 18;

struct Lane {
    LaneKind kind = LaneKind::level;
    std::uint8_t input = 0;  ///< 0 to 23 where there is one for each input, otherwise 0
    bool operator==(const Lane&) const = default;
};

/// Every lane by its place.
constexpr std::uint16_t k_lane_count =
    k_input_lane_kinds * engine::k_max_inputs + (k_lane_kinds - k_input_lane_kinds);
constexpr bool is_of_an_input(LaneKind kind) {
    return static_cast<std::uint8_t>(kind) < k_input_lane_kinds;
}
constexpr bool is_mark_lane(LaneKind kind) {
    return kind == LaneKind::rejected || kind == LaneKind::gesture || kind == LaneKind::pointer_report ||
           kind == LaneKind::infrared || kind == LaneKind::noise;
}

constexpr std::uint16_t k_greatest_number = 0xFFFD;  ///< greater ones are shown as this
constexpr std::uint16_t k_no_number = 0xFFFF;

/// A lane at one time. Neither known nor on: outside of what was recorded, or lost.
struct LaneState {
    bool is_known = false;
    bool is_on = false;
    std::uint16_t number = k_no_number;  ///< of a lane that is on
    bool operator==(const LaneState&) const = default;
};

/// Exactly what a lane did in one column of pixels: [begin, end) in us. All at rest: the column lies outside
/// of what was recorded.
struct Column {
    bool was_on = false;                 ///< at any time in it; for a moment counts
    bool was_off = false;                ///< at any time in it (mark lanes: wherever something was recorded)
    bool was_unknown = false;            ///< telemetry was lost at any time in it
    bool is_mixed = false;               ///< more than one number was in force or marked
    std::uint16_t number = k_no_number;  ///< the greatest one that was in force or marked
    std::uint32_t begins = 0;            ///< marks, or how often it went on or to another number
    bool operator==(const Column&) const = default;
};

/// What is drawn as a curve.
enum class Signal : std::uint8_t {
    x,      ///< sum of the pointer's counts to the right. Unit: counts
    y,      ///< downwards
    speed,  ///< from one report that moves to the next; 0 from k_speed_rest_us after the last one on. Unit:
            ///< counts a second, at most 65,535. The first report after a rest counts as made in that time.
    scale,  ///< motion scale. Unit: permille
};
constexpr std::int64_t k_speed_rest_us = 100000;  // own choice: a few reports of the slowest travel

/// A signal in one column: exact least and greatest value in force at any time in it, and the one at its end.
/// is_known false: outside of what was recorded (scale: or never told).
struct Reach {
    std::int64_t least = 0, most = 0, last = 0;
    bool is_known = false;
    bool operator==(const Reach&) const = default;
};

/// What one jumps to.
enum class Wanted : std::uint8_t {
    repeat_lost,     ///< ir_lost
    press_rejected,  ///< PressOutcome too_short, bounced, refractory, guarded
    telemetry_lost,  ///< a gap, or EventKind::lost
    hold_limit,      ///< PressOutcome hold_limit
    drag_broken,
};
constexpr std::uint8_t k_wanted_kinds = 5;

}  // namespace fettle::trace
