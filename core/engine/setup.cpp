#include "core/engine/setup.hpp"

namespace fettle {
namespace engine {

namespace {

bool refuse(void*, uint16_t, uint8_t*, uint8_t) {
    return false;
}

/// Start of a motion record's body, past its length byte.
uint16_t motion_at(const Setup& setup, uint8_t index) {
    uint16_t at = setup.motions_at;
    for (uint8_t i = 0; i < index; ++i) at = static_cast<uint16_t>(at + 1u + setup.bytes[at]);
    return static_cast<uint16_t>(at + 1u);
}

// RuleDef's times follow one another without gaps, in the order in which they are packed.
constexpr uint8_t k_rule_words = (k_rule_bytes - 1) / 2;
static_assert(offsetof(RuleDef, longest_hold_ds) - offsetof(RuleDef, acceptance_ms) == (k_rule_words - 1) * 2,
              "RuleDef: flags, then times of two bytes");

uint32_t get24(const uint8_t* p) {
    return static_cast<uint32_t>(get16(p)) | (static_cast<uint32_t>(p[2]) << 16);
}

}  // namespace

void clear(Setup& setup) {
    memset(&setup, 0, sizeof setup);
    setup.storage.read = refuse;
    setup.stroke_gap_ms = 20;
    setup.click_gap_ms = 50;
    setup.trial_s = 60;
}

void put_input(uint8_t* to, const InputDef& def) {
    to[0] = static_cast<uint8_t>(static_cast<uint8_t>(def.source) | (def.rule << 4));
    put32(to + 1, def.code);
}

InputDef get_input(const uint8_t* from) {
    return InputDef{static_cast<Source>(from[0] & 0x0Fu), static_cast<uint8_t>(from[0] >> 4),
                    get32(from + 1)};
}

void put_rule(uint8_t* to, const RuleDef& def) {
    const uint8_t* from = reinterpret_cast<const uint8_t*>(&def) + offsetof(RuleDef, acceptance_ms);
    to[0] = def.flags;
    for (uint8_t i = 0; i < k_rule_words; ++i) {
        uint16_t word;
        memcpy(&word, from + 2 * i, sizeof word);
        put16(to + 1 + 2 * i, word);
    }
}

RuleDef get_rule(const uint8_t* from) {
    RuleDef rule;
    rule.flags = from[0];
    uint8_t* to = reinterpret_cast<uint8_t*>(&rule) + offsetof(RuleDef, acceptance_ms);
    for (uint8_t i = 0; i < k_rule_words; ++i) {
        const uint16_t word = get16(from + 1 + 2 * i);
        memcpy(to + 2 * i, &word, sizeof word);
    }
    // cppcheck-suppress uninitvar ; all words were written above
    return rule;
}

void put_action(uint8_t* to, const ActionDef& def) {
    to[0] = static_cast<uint8_t>(static_cast<uint8_t>(def.kind) | (def.style << 5));
    to[1] = def.a;
    to[2] = def.b;
}

ActionDef get_action(const uint8_t* from) {
    return ActionDef{static_cast<ActionKind>(from[0] & 0x1Fu), static_cast<uint8_t>(from[0] >> 5), from[1],
                     from[2]};
}

InputDef Setup::input(uint8_t index) const {
    return get_input(bytes + inputs_at + index * k_input_bytes);
}

RuleDef Setup::rule(uint8_t index) const {
    return get_rule(bytes + rules_at + index * k_rule_bytes);
}

uint8_t Setup::cell(uint8_t mode, uint8_t input) const {
    const uint16_t row = static_cast<uint16_t>(uint16_t{mode} * input_count);
    return bytes[cells_at + row + input];
}

uint8_t Setup::gesture(uint8_t mode, uint8_t input, Gesture gesture) const {
    const uint8_t key =
        static_cast<uint8_t>(mode | (gesture == Gesture::double_press ? k_gesture_is_double : 0));
    const uint8_t* at = bytes + gestures_at;
    for (uint8_t i = 0; i < gesture_count; ++i, at += k_gesture_bytes)
        if (at[0] == key && at[1] == input) return at[2];
    return 0;
}

RepeatDef Setup::repeat(uint8_t index) const {
    const uint8_t* at = bytes + repeats_at + index * k_repeat_bytes;
    return RepeatDef{get16(at), get16(at + 2)};
}

MotionHead Setup::motion(uint8_t index) const {
    const uint8_t* at = bytes + motion_at(*this, index);
    MotionHead head;
    memset(&head, 0, sizeof head);
    head.family = static_cast<MotionFamily>(at[0]);
    head.delay_ms = get16(at + 1);
    if (head.family == MotionFamily::mouse_keys) {
        head.interval_ms = get16(at + 3);
        head.event_count = at[5];
        head.cadence_gain_permille = 1000;
        return head;
    }
    head.first_step_counts = at[3];
    head.ramp_ms = get16(at + 4);
    head.cadence_window_ms = get16(at + 6);
    head.cadence_gain_permille = get16(at + 8);
    return head;
}

uint32_t Setup::motion_point(uint8_t index, uint8_t point) const {
    const uint8_t* at = bytes + motion_at(*this, index);
    if (static_cast<MotionFamily>(at[0]) == MotionFamily::mouse_keys) {
        const uint8_t last = at[5];
        return get16(at + k_mouse_keys_head_bytes + 2 * (point < last ? point : last));
    }
    const uint8_t last = k_curve_points - 1;
    return get24(at + 10 + 3 * (point < last ? point : last));
}

bool Setup::action(uint8_t number, ActionDef& out) const {
    uint8_t raw[k_action_bytes];
    const uint16_t at = static_cast<uint16_t>(actions.offset + (number - 1u) * k_action_bytes);
    if (!storage.read(storage.owner, at, raw, k_action_bytes)) return false;
    out = get_action(raw);
    return true;
}

bool Setup::find_record(const Place& place, uint8_t index, uint16_t& at, uint8_t& length) const {
    const uint16_t past = static_cast<uint16_t>(place.offset + place.size);
    length = 0;
    at = place.offset;
    for (;; --index) {
        if (at >= past) {
            at = past;
            length = 0;
            return true;
        }
        if (!storage.read(storage.owner, at, &length, 1)) return false;
        ++at;
        if (index == 0) return true;
        at = static_cast<uint16_t>(at + length);
    }
}

bool Setup::label(uint8_t index, char* out) const {
    uint16_t at;
    uint8_t length;
    out[0] = '\0';
    if (!find_record(labels, index, at, length)) return false;
    if (length > k_label_chars) length = k_label_chars;
    if (length == 0) return true;
    if (!storage.read(storage.owner, at, reinterpret_cast<uint8_t*>(out), length)) return false;
    out[length] = '\0';
    return true;
}

}  // namespace engine
}  // namespace fettle
