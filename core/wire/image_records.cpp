// Every record of an image against its range: nothing reaches the engine that was not looked at here.

#include "core/wire/image_scan.hpp"

namespace fettle {
namespace wire {

using namespace engine;  // the records are the engine's

/// Downwards, so that what actions name is counted before them; then the variants, so that none can fail when
/// a person asks for it.
bool ImageScan::check() {
    for (uint8_t section = section_of(Tag::variant); --section != 0;)
        if (!check_section(section)) return false;
    for (uint8_t section = section_of(Tag::variant); section < k_sections; ++section)
        if (!check_section(section)) return false;
    return true;
}

bool ImageScan::check_section(uint8_t section) {
    enter(section);
    if (at_ == 0) return true;
    if (section >= section_of(Tag::variant)) return check_variant();
    if (section == section_of(Tag::grid)) return check_grid();
    if (section == section_of(Tag::modes)) ++at_;  // the count
    const uint8_t bytes = record_bytes();
    while (at_ < end_)
        if (bytes != 0 ? !check_sized(section, bytes) : !check_counted()) return false;
    return true;
}

bool ImageScan::check_sized(uint8_t section, uint8_t bytes) {
    uint8_t raw[k_rule_bytes];
    if (bytes > end_ - at_) return fail(ImageFault::section);
    if (!take(raw, bytes)) return false;
    return is_record_ok(section, raw, counts_) || fail(ImageFault::range);
}

bool ImageScan::take_length(uint8_t& size) {
    if (at_ >= end_) return fail(ImageFault::section);
    if (!take(&size, 1)) return false;
    return size <= end_ - at_ || fail(ImageFault::section);
}

/// A motion record, a text or a label.
bool ImageScan::check_counted() {
    uint8_t& count = counts_.of[section_];
    if (count == most_records()) return fail(ImageFault::range);
    if (section_ == section_of(Tag::motions)) return check_motion(motion_sizes_[count++]);
    ++count;
    uint8_t size = 0;
    if (!take_length(size)) return false;
    const uint16_t end = static_cast<uint16_t>(at_ + size);
    uint16_t strokes = 0;
    if (section_ == section_of(Tag::texts)) return check_strokes(end, strokes);
    while (at_ < end)
        if (!check_sized(section_, 1)) return false;
    return true;
}

/// size: of its body.
bool ImageScan::check_motion(uint8_t& size) {
    uint8_t body[k_motion_checked_bytes] = {};
    if (!take_length(size)) return false;
    if (!read(at_, body, size < sizeof body ? size : static_cast<uint8_t>(sizeof body))) return false;
    at_ = static_cast<uint16_t>(at_ + size);
    return is_motion_ok(body, size) || fail(ImageFault::range);
}

bool ImageScan::check_strokes(uint16_t end, uint16_t& count) {
    for (; at_ < end; ++count) {
        uint8_t raw[2];  // modifiers, usage
        if (!take(raw + 1, 1)) return false;
        if (raw[1] == k_stroke_modified) {
            if (end - at_ < 2) return fail(ImageFault::section);
            if (!take(raw, 2)) return false;
        } else if (raw[1] == k_stroke_none && section_ == section_of(Tag::grid)) {
            continue;  // an empty cell
        } else {
            raw[1] &= static_cast<uint8_t>(~k_stroke_shift);
        }
        if (!is_usage_ok(raw[1])) return fail(ImageFault::range);
    }
    return true;
}

bool ImageScan::check_grid() {
    uint8_t raw[2];
    if (end_ - at_ < 2) return fail(ImageFault::section);
    if (!take(raw, 2)) return false;
    counts_.of[section_] = raw[0];
    grid_columns_ = raw[1];
    uint16_t cells = static_cast<uint16_t>(raw[0] * raw[1]);
    if (cells == 0) return fail(ImageFault::range);
    uint16_t strokes = 0;
    if (!check_strokes(end_, strokes)) return false;
    return strokes == cells || fail(ImageFault::section);
}

bool ImageScan::check_variant() {
    uint16_t seen = 0;
    uint16_t used = mirror_;
    while (at_ < end_) {
        uint8_t what = 0;
        if (!take(&what, 1)) return false;
        const bool is_motion = (what & k_override_motion) != 0;
        const uint8_t number = static_cast<uint8_t>(what & ~k_override_motion);
        if (number >= counts_.at(is_motion ? Tag::motions : Tag::rules)) return fail(ImageFault::range);
        const uint16_t bit = static_cast<uint16_t>((is_motion ? 0x100u : 1u) << number);
        if ((seen & bit) != 0) return fail(ImageFault::section);
        seen = static_cast<uint16_t>(seen | bit);
        if (is_motion) {
            uint8_t size = 0;
            if (!check_motion(size)) return false;
            // A longer record moves what follows it: there must be room after each step, in this order.
            used = static_cast<uint16_t>(used + size - motion_sizes_[number]);
            if (used > k_mirror_bytes) return fail(ImageFault::mirror);
        } else if (!check_sized(section_of(Tag::rules), k_rule_bytes)) {
            return false;
        }
    }
    return true;
}

}  // namespace wire
}  // namespace fettle
