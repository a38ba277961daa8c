// Every record of an image against its range: nothing reaches the engine that was not looked at here.

#include "core/wire/image_scan.hpp"

namespace fettle {
namespace wire {

using namespace engine;  // the records are the engine's

bool ImageScan::check() {
    return check_inputs() && check_rules() && check_cells() && check_gestures() && check_repeats() &&
           check_motions() && check_grid() && check_texts() && check_actions() && check_labels() &&
           check_pace() && check_variants();
}

bool ImageScan::check_inputs() {
    uint16_t at = place(Tag::inputs).offset;
    for (uint8_t i = 0; i < counts_.inputs; ++i) {
        uint8_t raw[k_input_bytes];
        if (!read(at, raw, sizeof raw)) return false;
        if (!is_input_ok(get_input(raw), counts_)) return fail(ImageFault::range, Tag::inputs);
        at = static_cast<uint16_t>(at + sizeof raw);
    }
    return true;
}

bool ImageScan::check_rules() {
    uint16_t at = place(Tag::rules).offset;
    for (uint8_t i = 0; i < counts_.rules; ++i) {
        uint8_t raw[k_rule_bytes];
        if (!read(at, raw, sizeof raw)) return false;
        if (!is_rule_ok(get_rule(raw))) return fail(ImageFault::range, Tag::rules);
        at = static_cast<uint16_t>(at + sizeof raw);
    }
    return true;
}

bool ImageScan::check_cells() {
    const Place& modes = place(Tag::modes);
    for (uint16_t i = 1; i < modes.size; ++i) {
        uint8_t number = 0;
        if (!read(static_cast<uint16_t>(modes.offset + i), &number, 1)) return false;
        if (number > counts_.actions) return fail(ImageFault::range, Tag::modes);
    }
    return true;
}

bool ImageScan::check_gestures() {
    uint16_t at = place(Tag::gestures).offset;
    for (uint8_t i = 0; i < counts_.gestures; ++i) {
        uint8_t raw[k_gesture_bytes];
        if (!read(at, raw, sizeof raw)) return false;
        if (!is_gesture_ok(raw, counts_)) return fail(ImageFault::range, Tag::gestures);
        at = static_cast<uint16_t>(at + sizeof raw);
    }
    return true;
}

bool ImageScan::check_repeats() {
    uint16_t at = place(Tag::repeats).offset;
    for (uint8_t i = 0; i < counts_.repeats; ++i) {
        uint8_t raw[k_repeat_bytes];
        if (!read(at, raw, sizeof raw)) return false;
        if (!is_repeat_ok(RepeatDef{get16(raw), get16(raw + 2)}))
            return fail(ImageFault::range, Tag::repeats);
        at = static_cast<uint16_t>(at + sizeof raw);
    }
    return true;
}

bool ImageScan::check_motions() {
    uint16_t at = place(Tag::motions).offset;
    const uint16_t end = static_cast<uint16_t>(at + place(Tag::motions).size);
    while (at < end) {
        uint8_t size = 0;
        if (!check_motion(at, end, Tag::motions, size)) return false;
        if (counts_.motions == k_max_motions) return fail(ImageFault::range, Tag::motions);
        motion_sizes_[counts_.motions++] = size;
        at = static_cast<uint16_t>(at + 1u + size);
    }
    return true;
}

/// One motion record that must end at or before `end`. size: of its body.
bool ImageScan::check_motion(uint16_t at, uint16_t end, Tag tag, uint8_t& size) {
    uint8_t body[k_motion_checked_bytes] = {};
    if (at >= end) return fail(ImageFault::section, tag);
    if (!read(at, &size, 1)) return false;
    if (size >= end - at) return fail(ImageFault::section, tag);
    const uint8_t looked_at = size < sizeof body ? size : static_cast<uint8_t>(sizeof body);
    if (!read(static_cast<uint16_t>(at + 1u), body, looked_at)) return false;
    return is_motion_ok(body, size) || fail(ImageFault::range, tag);
}

bool ImageScan::check_actions() {
    uint16_t at = place(Tag::actions).offset;
    for (uint8_t i = 0; i < counts_.actions; ++i) {
        uint8_t raw[k_action_bytes];
        if (!read(at, raw, sizeof raw)) return false;
        if (!is_action_ok(get_action(raw), counts_)) return fail(ImageFault::range, Tag::actions);
        at = static_cast<uint16_t>(at + sizeof raw);
    }
    return true;
}

/// Steps over one stroke that must end at or before `end`.
bool ImageScan::step_stroke(Tag tag, uint16_t& at, uint16_t end, bool may_be_empty) {
    uint8_t raw[3] = {0, 0, 0};
    if (at >= end) return fail(ImageFault::section, tag);
    if (!read(at, raw, 1)) return false;
    at = static_cast<uint16_t>(at + 1u);
    if (raw[0] == k_stroke_none) return may_be_empty || fail(ImageFault::range, tag);
    uint8_t usage = static_cast<uint8_t>(raw[0] & ~k_stroke_shift);
    if (raw[0] == k_stroke_modified) {
        if (end - at < 2) return fail(ImageFault::section, tag);
        if (!read(at, raw + 1, 2)) return false;
        at = static_cast<uint16_t>(at + 2u);
        usage = raw[2];
    }
    return (usage >= k_first_usage && usage <= k_last_usage) || fail(ImageFault::range, tag);
}

bool ImageScan::check_texts() {
    uint16_t at = place(Tag::texts).offset;
    const uint16_t end = static_cast<uint16_t>(at + place(Tag::texts).size);
    while (at < end) {
        uint8_t length = 0;
        if (!read(at, &length, 1)) return false;
        at = static_cast<uint16_t>(at + 1u);
        if (length > end - at) return fail(ImageFault::section, Tag::texts);
        if (counts_.texts == 255) return fail(ImageFault::range, Tag::texts);
        ++counts_.texts;
        const uint16_t text_end = static_cast<uint16_t>(at + length);
        while (at < text_end)
            if (!step_stroke(Tag::texts, at, text_end, false)) return false;
    }
    return true;
}

bool ImageScan::check_grid() {
    if (!is_there(Tag::grid)) return true;
    const Place& grid = place(Tag::grid);
    const uint16_t end = static_cast<uint16_t>(grid.offset + grid.size);
    uint16_t at = static_cast<uint16_t>(grid.offset + 2u);
    uint8_t raw[2];
    if (grid.size < 2) return fail(ImageFault::section, Tag::grid);
    if (!read(grid.offset, raw, 2)) return false;
    counts_.grid_rows = raw[0];
    counts_.grid_columns = raw[1];
    if (raw[0] == 0 || raw[1] == 0) return fail(ImageFault::range, Tag::grid);
    const uint16_t cells = static_cast<uint16_t>(static_cast<uint16_t>(raw[0]) * raw[1]);
    for (uint16_t i = 0; i < cells; ++i)
        if (!step_stroke(Tag::grid, at, end, true)) return false;
    return at == end || fail(ImageFault::section, Tag::grid);
}

bool ImageScan::check_labels() {
    uint16_t at = place(Tag::labels).offset;
    const uint16_t end = static_cast<uint16_t>(at + place(Tag::labels).size);
    uint8_t left = 0;
    for (; at < end; at = static_cast<uint16_t>(at + 1u)) {
        uint8_t byte = 0;
        if (!read(at, &byte, 1)) return false;
        if (left == 0) {
            left = byte;
            if (left >= end - at) return fail(ImageFault::section, Tag::labels);
            continue;
        }
        if (byte < 0x20 || byte > 0x7E) return fail(ImageFault::range, Tag::labels);
        --left;
    }
    return true;
}

bool ImageScan::check_pace() {
    if (!is_there(Tag::pace)) return true;
    uint8_t raw[k_pace_bytes];
    if (place(Tag::pace).size != sizeof raw) return fail(ImageFault::section, Tag::pace);
    if (!read(place(Tag::pace).offset, raw, sizeof raw)) return false;
    return is_pace_ok(get16(raw), get16(raw + 2), get16(raw + 4)) || fail(ImageFault::range, Tag::pace);
}

/// Every variant is checked, so that none can fail when a person asks for it.
bool ImageScan::check_variants() {
    uint16_t at = k_image_header_bytes;
    for (uint8_t variant = 1; variant < counts_.variants; ++variant) {
        Place body;
        if (!next_variant(at, body)) return false;
        if (!check_variant(body.offset, static_cast<uint16_t>(body.offset + body.size))) return false;
    }
    return true;
}

bool ImageScan::check_variant(uint16_t at, uint16_t end) {
    uint8_t rules_seen = 0, motions_seen = 0;
    uint16_t used = mirror_;
    while (at < end) {
        uint8_t raw[1 + k_rule_bytes];
        if (!read(at, raw, 1)) return false;
        const bool is_motion = (raw[0] & k_override_motion) != 0;
        const uint8_t number = static_cast<uint8_t>(raw[0] & ~k_override_motion);
        if (number >= (is_motion ? counts_.motions : counts_.rules))
            return fail(ImageFault::range, Tag::variant);
        uint8_t& seen = is_motion ? motions_seen : rules_seen;
        const uint8_t bit = static_cast<uint8_t>(1u << number);
        if ((seen & bit) != 0) return fail(ImageFault::section, Tag::variant);
        seen = static_cast<uint8_t>(seen | bit);
        if (is_motion) {
            uint8_t size = 0;
            if (!check_motion(static_cast<uint16_t>(at + 1u), end, Tag::variant, size)) return false;
            // A longer record moves what follows it: there must be room after each step, in this order.
            used = static_cast<uint16_t>(used + size - motion_sizes_[number]);
            if (used > k_mirror_bytes) return fail(ImageFault::mirror, Tag::variant);
            at = static_cast<uint16_t>(at + 2u + size);
        } else {
            if (end - at < 1 + k_rule_bytes) return fail(ImageFault::section, Tag::variant);
            if (!read(at, raw, sizeof raw)) return false;
            if (!is_rule_ok(get_rule(raw + 1))) return fail(ImageFault::range, Tag::variant);
            at = static_cast<uint16_t>(at + sizeof raw);
        }
    }
    return true;
}

}  // namespace wire
}  // namespace fettle
