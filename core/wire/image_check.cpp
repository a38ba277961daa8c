#include "core/wire/image_check.hpp"

namespace fettle {
namespace wire {

using namespace engine;  // the records are the engine's

namespace {

bool in(uint16_t value, uint16_t low, uint16_t high) {
    return value >= low && value <= high;
}

bool is_off_or_in(uint16_t value, uint16_t low, uint16_t high) {
    return value == 0 || in(value, low, high);
}

bool is_straight(uint8_t direction) {
    return direction < 8 && (direction & 1u) == 0;
}

bool is_chord_ok(const ActionDef& def, const Counts& counts) {
    if (def.a == 0 && def.b == 0) return false;
    if (def.b != 0 && !in(def.b, k_first_usage, k_last_usage)) return false;
    const uint8_t first_repeat = static_cast<uint8_t>(ChordStyle::repeat_first);
    return def.style < first_repeat || def.style - first_repeat < counts.repeats;
}

bool is_axis_ok(uint32_t code) {
    const uint8_t axis = static_cast<uint8_t>(code & 0x7Fu);
    const uint8_t down = static_cast<uint8_t>(code >> 8);
    const uint8_t up = static_cast<uint8_t>(code >> 16);
    return axis < k_axes && up < down && (code >> 24) == 0;
}

bool is_switch_ok(uint32_t code) {
    const uint8_t line = static_cast<uint8_t>(code & 0x7Fu);
    return line >= 1 && line <= k_switch_lines && (code >> 8) == 0;
}

}  // namespace

bool is_input_ok(const InputDef& def, const Counts& counts) {
    if (def.rule >= counts.rules) return false;
    if (def.source == Source::none) return def.code == 0;  // waits to be taught
    if (is_infrared(def.source)) return true;
    if (def.source == Source::switch_line) return is_switch_ok(def.code);
    return def.source == Source::axis && is_axis_ok(def.code);
}

bool is_rule_ok(const RuleDef& def) {
    return (def.flags & ~k_rule_act_on_release) == 0 && def.acceptance_ms <= 5000 &&
           def.debounce_ms <= 5000 && def.bridge_ms <= 2000 && def.refractory_ms <= 5000 &&
           is_off_or_in(def.long_ms, 100, 5000) && is_off_or_in(def.double_ms, 100, 3000) &&
           def.guard_ms <= 2000 && def.holdover_ms <= 1000 && in(def.longest_hold_ds, 5, 6000);
}

bool is_action_ok(const ActionDef& def, const Counts& counts) {
    switch (def.kind) {
        case ActionKind::none: return true;
        case ActionKind::chord: return is_chord_ok(def, counts);
        case ActionKind::latch: return def.style <= 2 && def.a != 0;
        case ActionKind::button: return def.style <= 2 && def.a != 0;
        case ActionKind::drag: return def.a != 0;
        case ActionKind::move: return def.style < 8 && def.a < counts.motions;
        case ActionKind::scroll:
            return is_straight(def.style) && in(def.a, 1, 127) && def.b <= counts.repeats;
        case ActionKind::mode:
            return def.style == static_cast<uint8_t>(ModeStyle::next) ||
                   (def.style <= 2 && def.a < counts.modes);
        case ActionKind::consumer: return def.style <= 1 && in(def.wide(), 1, k_consumer_usage_max);
        case ActionKind::text: return def.a < counts.texts;
        case ActionKind::grid_move:
            return is_straight(def.style) && def.b <= counts.repeats && counts.grid_rows != 0;
        case ActionKind::grid_pick: return counts.grid_rows != 0;
        case ActionKind::jump: return def.style < 8 && in(def.wide(), 1, 32767);
        case ActionKind::scale: return def.style <= 1 && in(def.wide(), 50, 4000);
        case ActionKind::release_all: return true;
        case ActionKind::keep: return true;
        case ActionKind::revert: return true;
        case ActionKind::extend: return true;
        case ActionKind::variant: return def.style == 1 || (def.style == 0 && def.a < counts.variants);
    }
    return false;  // 19 to 31: kinds that a newer engine has
}

bool is_repeat_ok(const RepeatDef& def) {
    return def.delay_ms <= 5000 && in(def.interval_ms, 20, 2000);
}

bool is_gesture_ok(const uint8_t* cell, const Counts& counts) {
    return (cell[0] & ~k_gesture_is_double) < counts.modes && cell[1] < counts.inputs &&
           cell[2] <= counts.actions;
}

bool is_motion_ok(const uint8_t* body, uint8_t size) {
    if (size < 3 || get16(body + 1) > 5000) return false;
    if (body[0] == static_cast<uint8_t>(MotionFamily::mouse_keys)) {
        if (size < k_mouse_keys_head_bytes) return false;
        const uint8_t last = body[5];
        return in(get16(body + 3), 8, 1000) && in(last, 1, 60) &&
               size == k_mouse_keys_head_bytes + 2 * (last + 1);
    }
    return body[0] == static_cast<uint8_t>(MotionFamily::travel) && size == k_travel_bytes &&
           get16(body + 4) <= 20000 && get16(body + 6) <= 2000 && in(get16(body + 8), 1000, 8000);
}

bool is_pace_ok(uint16_t stroke_gap_ms, uint16_t click_gap_ms, uint16_t trial_s) {
    return in(stroke_gap_ms, 8, 500) && in(click_gap_ms, 40, 500) &&
           in(trial_s, k_trial_least_s, k_trial_most_s);
}

}  // namespace wire
}  // namespace fettle
