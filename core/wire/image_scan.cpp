#include "core/wire/image_scan.hpp"

namespace fettle {
namespace wire {

using namespace engine;  // the records are the engine's

namespace {

bool is_known(uint8_t tag) {
    constexpr uint8_t k_first = static_cast<uint8_t>(Tag::inputs);
    constexpr uint8_t k_last = static_cast<uint8_t>(Tag::variant);
    constexpr uint8_t k_labels = static_cast<uint8_t>(Tag::labels);
    return tag == k_labels || (tag >= k_first && tag <= k_last && tag != (k_labels | k_must_understand));
}

}  // namespace

ImageScan::ImageScan(const Storage& storage) : storage_(storage), size_(0), mirror_(0) {
    memset(places_, 0, sizeof places_);
    memset(&counts_, 0, sizeof counts_);
    memset(motion_sizes_, 0, sizeof motion_sizes_);
    verdict_ = ImageVerdict{ImageFault::none, 0};
    counts_.variants = 1;
}

bool ImageScan::fail(ImageFault fault, uint8_t tag) {
    verdict_ = ImageVerdict{fault, tag};
    return false;
}

bool ImageScan::read(uint16_t at, uint8_t* to, uint8_t count) {
    return storage_.read(storage_.owner, at, to, count) || fail(ImageFault::busy, uint8_t{0});
}

bool ImageScan::find(uint16_t room) {
    ImageHeader header;
    const ImageFault fault = read_header(storage_, room, header);
    if (fault != ImageFault::none) return fail(fault, uint8_t{0});
    size_ = header.size;
    return find_sections() && are_needed_there() && count_records() && count_mirror();
}

bool ImageScan::find_sections() {
    uint16_t at = k_image_header_bytes;
    while (at < size_) {
        uint8_t head[k_section_header_bytes];
        if (size_ - at < k_section_header_bytes) return fail(ImageFault::section, uint8_t{0});
        if (!read(at, head, sizeof head)) return false;
        at = static_cast<uint16_t>(at + k_section_header_bytes);
        const Place body = {at, get16(head + 1)};
        if (body.size > size_ - at) return fail(ImageFault::section, head[0]);
        if (!take_section(head[0], body)) return false;
        at = static_cast<uint16_t>(at + body.size);
    }
    return true;
}

bool ImageScan::take_section(uint8_t tag, const Place& body) {
    if (!is_known(tag)) return (tag & k_must_understand) == 0 || fail(ImageFault::unknown_section, tag);
    Place& known = places_[tag & k_tag_index];
    if (tag == static_cast<uint8_t>(Tag::variant)) {
        if (counts_.variants == k_max_variants) return fail(ImageFault::range, tag);
        ++counts_.variants;
        if (known.offset == 0) known = body;  // the first one; the others are walked to
        return true;
    }
    if (known.offset != 0) return fail(ImageFault::section, tag);
    known = body;
    return true;
}

bool ImageScan::are_needed_there() {
    const Tag needed[] = {Tag::inputs, Tag::rules, Tag::modes, Tag::actions};
    for (uint8_t i = 0; i < 4; ++i)
        if (!is_there(needed[i])) return fail(ImageFault::missing, needed[i]);
    return true;
}

/// How many records of `bytes` a section has; false where it is no whole number or outside least to most.
bool ImageScan::count(Tag tag, uint8_t bytes, uint8_t least, uint8_t most, uint8_t& out) {
    const uint16_t size = place(tag).size;
    if (size % bytes != 0) return fail(ImageFault::section, tag);
    const uint16_t records = static_cast<uint16_t>(size / bytes);
    if (is_there(tag) && (records < least || records > most)) return fail(ImageFault::range, tag);
    out = static_cast<uint8_t>(records);
    return true;
}

bool ImageScan::count_records() {
    if (!count(Tag::inputs, k_input_bytes, 1, k_max_inputs, counts_.inputs) ||
        !count(Tag::rules, k_rule_bytes, 1, k_max_rules, counts_.rules) ||
        !count(Tag::gestures, k_gesture_bytes, 0, 255, counts_.gestures) ||
        !count(Tag::actions, k_action_bytes, 1, 255, counts_.actions) ||
        !count(Tag::repeats, k_repeat_bytes, 0, k_max_repeats, counts_.repeats))
        return false;
    const Place& modes = place(Tag::modes);
    if (modes.size == 0) return fail(ImageFault::section, Tag::modes);
    if (!read(modes.offset, &counts_.modes, 1)) return false;
    if (counts_.modes == 0 || counts_.modes > k_max_modes) return fail(ImageFault::range, Tag::modes);
    const uint16_t cells = static_cast<uint16_t>(counts_.modes * counts_.inputs);
    return modes.size == cells + 1u || fail(ImageFault::section, Tag::modes);
}

bool ImageScan::count_mirror() {
    const Tag mirrored[] = {Tag::inputs, Tag::rules, Tag::modes, Tag::gestures, Tag::motions, Tag::repeats};
    for (uint8_t i = 0; i < 6; ++i) {
        uint16_t size = place(mirrored[i]).size;
        if (mirrored[i] == Tag::modes) size = static_cast<uint16_t>(size - 1u);  // the count is not mirrored
        if (size > k_mirror_bytes - mirror_) return fail(ImageFault::mirror, mirrored[i]);
        mirror_ = static_cast<uint16_t>(mirror_ + size);
    }
    return true;
}

/// The variant section whose header lies at `at` or after it; `at` is left past it. False: busy, or there is
/// none.
bool ImageScan::next_variant(uint16_t& at, Place& out) {
    while (at < size_) {
        uint8_t head[k_section_header_bytes];
        if (!read(at, head, sizeof head)) return false;
        out = Place{static_cast<uint16_t>(at + k_section_header_bytes), get16(head + 1)};
        at = static_cast<uint16_t>(out.offset + out.size);
        if (head[0] == static_cast<uint8_t>(Tag::variant)) return true;
    }
    return false;
}

}  // namespace wire
}  // namespace fettle
