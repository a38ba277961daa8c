#pragma once
// Ranges of every record of an image. Plain questions: no storage, no state.

#include "core/engine/setup.hpp"

namespace fettle {
namespace wire {

/// How much of each thing the image has: what its indices may name.
struct Counts {
    uint8_t inputs, rules, modes, gestures, actions, motions, repeats, texts, variants;
    uint8_t grid_rows, grid_columns;  ///< 0: no grid
};

constexpr uint16_t k_consumer_usage_max =
    0x3FF;                               ///< logical maximum of the consumer report (descriptors.cpp)
constexpr uint8_t k_first_usage = 0x04;  ///< 1 to 3 of page 07 report errors and are no keys
constexpr uint8_t k_last_usage = 0xA4;   ///< logical maximum of the keyboard report's usages

bool is_input_ok(const engine::InputDef& def, const Counts& counts);
bool is_rule_ok(const engine::RuleDef& def);
bool is_action_ok(const engine::ActionDef& def, const Counts& counts);
bool is_repeat_ok(const engine::RepeatDef& def);
bool is_gesture_ok(const uint8_t* cell, const Counts& counts);
/// A motion record's body, past its length byte; the first k_motion_checked_bytes of it are looked at.
bool is_motion_ok(const uint8_t* body, uint8_t size);
constexpr uint8_t k_motion_checked_bytes = 10;
/// Pace: stroke gap, click gap, trial.
bool is_pace_ok(uint16_t stroke_gap_ms, uint16_t click_gap_ms, uint16_t trial_s);

constexpr uint8_t k_pace_bytes = 6;
constexpr uint16_t k_trial_least_s = 20;
constexpr uint16_t k_trial_most_s = 600;

}  // namespace wire
}  // namespace fettle
