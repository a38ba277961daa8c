#pragma once
// Where the sections of an image lie and how much of each thing it has: what check() and load() share. Every
// read is inside the size that the header gave and the caller's room.

#include "core/wire/image.hpp"
#include "core/wire/image_check.hpp"

namespace fettle {
namespace wire {

class ImageScan {
public:
    explicit ImageScan(const engine::Storage& storage);

    /// Header, sections, numbers of records. False: verdict() says why.
    bool find(uint16_t room);
    /// Every record of every section, and every variant. After find().
    bool check();
    /// The mirror and the rest of a setup. After check(); only the storage can refuse now.
    bool fill(engine::Setup& setup, uint8_t variant);

    ImageVerdict verdict() const { return verdict_; }

private:
    using Place = engine::Place;

    bool fail(ImageFault fault, uint8_t tag);
    bool fail(ImageFault fault, Tag tag) { return fail(fault, static_cast<uint8_t>(tag)); }
    bool read(uint16_t at, uint8_t* to, uint8_t count);
    const Place& place(Tag tag) const { return places_[static_cast<uint8_t>(tag) & k_tag_index]; }
    bool is_there(Tag tag) const { return place(tag).offset != 0; }

    // image_scan.cpp
    bool find_sections();
    bool take_section(uint8_t tag, const Place& body);
    bool are_needed_there();
    bool count(Tag tag, uint8_t bytes, uint8_t least, uint8_t most, uint8_t& out);
    bool count_records();
    bool count_mirror();
    bool next_variant(uint16_t& at, Place& out);

    // image_records.cpp
    bool check_inputs();
    bool check_rules();
    bool check_cells();
    bool check_gestures();
    bool check_repeats();
    bool check_motions();
    bool check_motion(uint16_t at, uint16_t end, Tag tag, uint8_t& size);
    bool check_actions();
    bool check_grid();
    bool check_texts();
    bool check_labels();
    bool check_pace();
    bool step_stroke(Tag tag, uint16_t& at, uint16_t end, bool may_be_empty);
    bool check_variants();
    bool check_variant(uint16_t at, uint16_t end);

    // image_load.cpp
    bool copy(Tag tag, uint8_t skip, engine::Setup& setup, uint16_t& at);
    bool override_all(engine::Setup& setup, uint8_t variant);
    bool override_motion(engine::Setup& setup, uint8_t number, uint16_t at, uint8_t size);

    static constexpr uint8_t k_tag_index = 0x0F;
    static constexpr uint8_t k_places = 13;

    engine::Storage storage_;
    Place places_[k_places];
    Counts counts_;
    ImageVerdict verdict_;
    uint16_t size_;
    uint16_t mirror_;  ///< bytes of the mirror that the profile as it stands takes
    uint8_t motion_sizes_[engine::k_max_motions];
};

}  // namespace wire
}  // namespace fettle
