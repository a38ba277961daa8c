#include "core/wire/image_scan.hpp"

namespace fettle {
namespace wire {

using namespace engine;  // the records are the engine's

/// Appends a section, past its first `skip` bytes, to the mirror. at: where it begins there.
bool ImageScan::copy(Tag tag, uint8_t skip, Setup& setup, uint16_t& at) {
    at = setup.used;
    if (!is_there(tag)) return true;
    constexpr uint8_t k_piece = 64;
    uint16_t from = static_cast<uint16_t>(place(tag).offset + skip);
    uint16_t left = static_cast<uint16_t>(place(tag).size - skip);
    while (left != 0) {
        const uint8_t piece = left > k_piece ? k_piece : static_cast<uint8_t>(left);
        if (!read(from, setup.bytes + setup.used, piece)) return false;
        from = static_cast<uint16_t>(from + piece);
        left = static_cast<uint16_t>(left - piece);
        setup.used = static_cast<uint16_t>(setup.used + piece);
    }
    return true;
}

bool ImageScan::fill(Setup& setup, uint8_t variant) {
    if (variant >= counts_.variants) return fail(ImageFault::range, Tag::variant);
    if (!copy(Tag::inputs, 0, setup, setup.inputs_at) || !copy(Tag::rules, 0, setup, setup.rules_at) ||
        !copy(Tag::modes, 1, setup, setup.cells_at) || !copy(Tag::gestures, 0, setup, setup.gestures_at) ||
        !copy(Tag::motions, 0, setup, setup.motions_at) || !copy(Tag::repeats, 0, setup, setup.repeats_at))
        return false;
    if (variant != 0 && !override_all(setup, variant)) return false;
    if (is_there(Tag::pace)) {
        uint8_t raw[k_pace_bytes];
        if (!read(place(Tag::pace).offset, raw, sizeof raw)) return false;
        setup.stroke_gap_ms = get16(raw);
        setup.click_gap_ms = get16(raw + 2);
        setup.trial_s = get16(raw + 4);
    }
    setup.input_count = counts_.inputs;
    setup.rule_count = counts_.rules;
    setup.mode_count = counts_.modes;
    setup.gesture_count = counts_.gestures;
    setup.motion_count = counts_.motions;
    setup.repeat_count = counts_.repeats;
    setup.action_count = counts_.actions;
    setup.text_count = counts_.texts;
    setup.variant_count = counts_.variants;
    setup.grid_rows = counts_.grid_rows;
    setup.grid_columns = counts_.grid_columns;
    setup.actions = place(Tag::actions);
    setup.texts = place(Tag::texts);
    setup.labels = place(Tag::labels);
    setup.grid = place(Tag::grid);
    setup.storage = storage_;
    return true;
}

bool ImageScan::override_all(Setup& setup, uint8_t variant) {
    Place body = {0, 0};
    uint16_t at = k_image_header_bytes;
    for (uint8_t i = 0; i < variant; ++i)
        if (!next_variant(at, body)) return false;
    at = body.offset;
    const uint16_t end = static_cast<uint16_t>(at + body.size);
    while (at < end) {
        uint8_t head[2];  // what, and a motion record's length
        if (!read(at, head, sizeof head)) return false;
        if ((head[0] & k_override_motion) == 0) {
            uint8_t* rule = setup.bytes + setup.rules_at + head[0] * k_rule_bytes;
            if (!read(static_cast<uint16_t>(at + 1u), rule, k_rule_bytes)) return false;
            at = static_cast<uint16_t>(at + 1u + k_rule_bytes);
        } else {
            const uint8_t number = static_cast<uint8_t>(head[0] & ~k_override_motion);
            if (!override_motion(setup, number, static_cast<uint16_t>(at + 1u), head[1])) return false;
            at = static_cast<uint16_t>(at + 2u + head[1]);
        }
    }
    return true;
}

/// Puts the record at `at` (its length byte; `size` of its body) in the place of motion `number`; what
/// follows in the mirror moves up or down.
bool ImageScan::override_motion(Setup& setup, uint8_t number, uint16_t at, uint8_t size) {
    uint16_t to = setup.motions_at;
    for (uint8_t i = 0; i < number; ++i) to = static_cast<uint16_t>(to + 1u + setup.bytes[to]);
    const uint8_t old = setup.bytes[to];
    const uint16_t tail = static_cast<uint16_t>(to + 1u + old);
    memmove(setup.bytes + to + 1 + size, setup.bytes + tail, static_cast<size_t>(setup.used - tail));
    if (!read(at, setup.bytes + to, static_cast<uint8_t>(size + 1u))) return false;
    setup.repeats_at = static_cast<uint16_t>(setup.repeats_at + size - old);
    setup.used = static_cast<uint16_t>(setup.used + size - old);
    return true;
}

ImageVerdict check(const Storage& storage, uint16_t room) {
    ImageScan scan(storage);
    if (scan.find(room)) scan.check();
    return scan.verdict();
}

ImageVerdict load(const Storage& storage, uint16_t room, uint8_t variant, Setup& setup) {
    clear(setup);
    ImageScan scan(storage);
    if (!scan.find(room) || !scan.check() || !scan.fill(setup, variant)) clear(setup);
    return scan.verdict();
}

}  // namespace wire
}  // namespace fettle
