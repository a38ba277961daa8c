#include "core/wire/image_scan.hpp"

namespace fettle {
namespace wire {

using namespace engine;  // the records are the engine's

namespace {

/// A setup's field as bytes, where several that lie side by side are filled at once.
uint8_t* bytes_at(Setup& setup, size_t offset) {
    return reinterpret_cast<uint8_t*>(&setup) + offset;
}

constexpr uint8_t k_mirrored = 6;  // inputs, rules, modes, gestures, motions, repeats
static_assert(offsetof(Setup, repeats_at) == offsetof(Setup, inputs_at) + (k_mirrored - 1) * sizeof(uint16_t),
              "in the order of their sections");
static_assert(offsetof(Setup, trial_s) == offsetof(Setup, stroke_gap_ms) + k_pace_bytes - sizeof(uint16_t),
              "as the image has them");
static_assert(offsetof(Setup, grid) == offsetof(Setup, texts) + 2 * sizeof(Place),
              "in the order of their sections");

}  // namespace

/// Appends what is left of the section that was entered to the mirror.
bool ImageScan::copy(Setup& setup) {
    while (at_ < end_) {
        constexpr uint8_t k_piece = 128;  // a call for each byte would take a millisecond
        const uint16_t left = static_cast<uint16_t>(end_ - at_);
        const uint8_t piece = left < k_piece ? static_cast<uint8_t>(left) : k_piece;
        if (!take(setup.bytes + setup.used, piece)) return false;
        setup.used = static_cast<uint16_t>(setup.used + piece);
    }
    return true;
}

bool ImageScan::fill(Setup& setup, uint8_t variant) {
    tag_ = tag_of(section_of(Tag::variant));
    if (variant >= counts_.at(Tag::variant)) return fail(ImageFault::range);
    uint16_t places[k_mirrored];
    uint8_t n = 0;
    for (uint8_t section = 1; section <= section_of(Tag::repeats); ++section) {
        if (!is_mirrored(section)) continue;
        enter(section);
        if (section == section_of(Tag::modes)) ++at_;  // the count
        places[n++] = setup.used;
        if (!copy(setup)) return false;
    }
    memcpy(bytes_at(setup, offsetof(Setup, inputs_at)), places, sizeof places);
    enter(section_of(Tag::pace));
    if (at_ != 0 && !take(bytes_at(setup, offsetof(Setup, stroke_gap_ms)), k_pace_bytes)) return false;
    if (variant != 0 && !override_all(setup, variant)) return false;
    setup.input_count = counts_.at(Tag::inputs);
    setup.rule_count = counts_.at(Tag::rules);
    setup.mode_count = counts_.at(Tag::modes);
    setup.gesture_count = counts_.at(Tag::gestures);
    setup.motion_count = counts_.at(Tag::motions);
    setup.repeat_count = counts_.at(Tag::repeats);
    setup.action_count = counts_.at(Tag::actions);
    setup.text_count = counts_.at(Tag::texts);
    setup.variant_count = counts_.at(Tag::variant);
    setup.grid_rows = counts_.at(Tag::grid);
    setup.grid_columns = grid_columns_;
    setup.actions = places_[section_of(Tag::actions)];
    memcpy(bytes_at(setup, offsetof(Setup, texts)), places_ + section_of(Tag::texts), 3 * sizeof(Place));
    setup.storage = storage_;
    return true;
}

bool ImageScan::override_all(Setup& setup, uint8_t variant) {
    enter(static_cast<uint8_t>(section_of(Tag::variant) + variant - 1));
    while (at_ < end_) {
        uint8_t what = 0;
        if (!take(&what, 1)) return false;
        if ((what & k_override_motion) == 0) {
            if (!take(setup.bytes + setup.rules_at + what * k_rule_bytes, k_rule_bytes)) return false;
        } else {
            const uint8_t number = static_cast<uint8_t>(what & ~k_override_motion);
            if (!override_motion(setup, number)) return false;
        }
    }
    return true;
}

/// Puts the record that is next in the place of motion `number`; what follows in the mirror moves up or down.
bool ImageScan::override_motion(Setup& setup, uint8_t number) {
    uint8_t* to = setup.bytes + setup.motions_at;
    for (; number != 0; --number) to += 1 + *to;
    uint8_t size = 0;
    if (!take(&size, 1)) return false;
    const int16_t longer = static_cast<int16_t>(size - *to);
    uint8_t* tail = to + 1 + *to;
    memmove(tail + longer, tail, static_cast<size_t>(setup.bytes + setup.used - tail));
    *to = size;
    setup.repeats_at = static_cast<uint16_t>(setup.repeats_at + static_cast<uint16_t>(longer));
    setup.used = static_cast<uint16_t>(setup.used + static_cast<uint16_t>(longer));
    return take(to + 1, size);
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
