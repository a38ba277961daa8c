#include "core/wire/image_scan.hpp"

#include "core/wire/rom.hpp"

namespace fettle {
namespace wire {

using namespace engine;  // the records are the engine's

namespace {

/// A section's records.
struct Shape {
    uint8_t bytes;  ///< of each; 0: they tell their own
    uint8_t least, most;
};

constexpr uint8_t k_shapes_end = section_of(Tag::variant);
const Shape k_shapes[k_shapes_end] FETTLE_ROM = {
    {0, 0, 0},  // no section has this number
    {k_input_bytes, 1, k_max_inputs},
    {k_rule_bytes, 1, k_max_rules},
    {1, 1, k_max_modes},  // a count, then cells: count_cells()
    {k_gesture_bytes, 0, 255},
    {k_action_bytes, 1, 255},
    {0, 0, k_max_motions},
    {k_repeat_bytes, 0, k_max_repeats},
    {0, 0, 255},  // texts
    {0, 0, 255},  // labels
    {0, 0, 255},  // grid
    {k_pace_bytes, 1, 1},
};

}  // namespace

ImageScan::ImageScan(const Storage& storage) {
    memset(this, 0, sizeof *this);
    storage_ = storage;
    counts_.of[section_of(Tag::variant)] = 1;
}

bool ImageScan::fail(ImageFault fault) {
    verdict_.fault = fault;
    verdict_.tag = tag_;
    return false;
}

bool ImageScan::read(uint16_t at, uint8_t* to, uint8_t count) {
    if (storage_.read(storage_.owner, at, to, count)) return true;
    tag_ = 0;
    return fail(ImageFault::busy);
}

/// The next bytes of what is being looked at.
bool ImageScan::take(uint8_t* to, uint8_t count) {
    if (!read(at_, to, count)) return false;
    at_ = static_cast<uint16_t>(at_ + count);
    return true;
}

void ImageScan::enter(uint8_t section) {
    section_ = section;
    tag_ = tag_of(section);
    at_ = places_[section].offset;
    end_ = static_cast<uint16_t>(at_ + places_[section].size);
}

bool ImageScan::find(uint16_t room) {
    ImageHeader header;
    const ImageFault fault = read_header(storage_, room, header);
    if (fault != ImageFault::none) return fail(fault);
    end_ = header.size;
    return find_sections() && count_records();
}

bool ImageScan::find_sections() {
    at_ = k_image_header_bytes;
    while (at_ < end_) {
        uint8_t head[k_section_header_bytes];
        tag_ = 0;
        if (end_ - at_ < k_section_header_bytes) return fail(ImageFault::section);
        if (!take(head, sizeof head)) return false;
        tag_ = head[0];
        const uint16_t size = get16(head + 1);
        if (size > end_ - at_) return fail(ImageFault::section);
        if (!take_section(size)) return false;
        at_ = static_cast<uint16_t>(at_ + size);
    }
    return true;
}

bool ImageScan::take_section(uint16_t size) {
    uint8_t section = tag_ & 0x0Fu;
    if (section == 0 || section > section_of(Tag::variant) || tag_ != tag_of(section))
        return (tag_ & k_must_understand) == 0 || fail(ImageFault::unknown_section);
    if (section == section_of(Tag::variant)) {
        uint8_t& variants = counts_.of[section];
        if (variants == k_max_variants) return fail(ImageFault::range);
        section = static_cast<uint8_t>(section + variants++ - 1);
    }
    Place& place = places_[section];
    if (place.offset != 0) return fail(ImageFault::section);
    place.offset = at_;
    place.size = size;
    return true;
}

bool ImageScan::count_records() {
    uint16_t mirror = 0;
    for (uint8_t section = 1; section < k_shapes_end; ++section) {
        Shape shape;
        read_rom(reinterpret_cast<const uint8_t*>(k_shapes + section), reinterpret_cast<uint8_t*>(&shape),
                 sizeof shape);
        enter(section);
        uint16_t size = places_[section].size;
        if (at_ == 0) {
            if (shape.least != 0 && section <= section_of(Tag::actions)) return fail(ImageFault::missing);
            continue;
        }
        if (section == section_of(Tag::modes)) {
            if (!count_cells(size)) return false;
            size = static_cast<uint16_t>(size - 1u);  // the count is not mirrored
        } else if (shape.bytes != 0) {
            const uint16_t records = static_cast<uint16_t>(size / shape.bytes);
            if (records * shape.bytes != size) return fail(ImageFault::section);
            if (records < shape.least || records > shape.most) return fail(ImageFault::range);
            counts_.of[section] = static_cast<uint8_t>(records);
        }
        if (!is_mirrored(section)) continue;
        if (size > k_mirror_bytes - mirror) return fail(ImageFault::mirror);
        mirror = static_cast<uint16_t>(mirror + size);
    }
    mirror_ = mirror;
    return true;
}

bool ImageScan::count_cells(uint16_t size) {
    uint8_t& modes = counts_.of[section_of(Tag::modes)];
    if (size == 0) return fail(ImageFault::section);
    if (!read(at_, &modes, 1)) return false;
    if (modes == 0 || modes > k_max_modes) return fail(ImageFault::range);
    const uint16_t cells = static_cast<uint16_t>(modes * counts_.at(Tag::inputs));
    return size == cells + 1u || fail(ImageFault::section);
}

uint8_t ImageScan::record_bytes() const {
    return rom_u8(&k_shapes[section_].bytes);
}

uint8_t ImageScan::most_records() const {
    return rom_u8(&k_shapes[section_].most);
}

}  // namespace wire
}  // namespace fettle
