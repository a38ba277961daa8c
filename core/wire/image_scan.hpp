#pragma once
// Where the sections of an image lie and how much of each thing it has: what check() and load() share. Every
// read is inside the size that the header gave and the caller's room.

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
    bool fail(ImageFault fault);
    bool read(uint16_t at, uint8_t* to, uint8_t count);
    bool take(uint8_t* to, uint8_t count);
    void enter(uint8_t section);
    static bool is_mirrored(uint8_t section) {
        return section <= section_of(Tag::repeats) && section != section_of(Tag::actions);
    }

    // image_scan.cpp
    bool find_sections();
    bool take_section(uint16_t size);
    bool count_records();
    bool count_cells(uint16_t size);
    uint8_t record_bytes() const;
    uint8_t most_records() const;

    // image_records.cpp
    bool check_section(uint8_t section);
    bool check_sized(uint8_t section, uint8_t bytes);
    bool check_counted();
    bool check_strokes(uint16_t end, uint16_t& count);
    bool check_grid();
    bool check_variant();
    bool check_motion(uint8_t& size);
    bool take_length(uint8_t& size);

    // image_load.cpp
    bool copy(engine::Setup& setup);
    bool override_all(engine::Setup& setup, uint8_t variant);
    bool override_motion(engine::Setup& setup, uint8_t number);

    // The small ones first: the 8-bit board reaches 63 bytes from a pointer in one instruction.
    uint16_t at_, end_;      ///< how far, and where it ends
    uint8_t section_, tag_;  ///< what is being looked at
    engine::Storage storage_;
    ImageVerdict verdict_;
    uint16_t mirror_;  ///< bytes of the mirror that the profile as it stands takes
    uint8_t grid_columns_;
    uint8_t motion_sizes_[engine::k_max_motions];
    Counts counts_;
    engine::Place places_[k_sections];
};

}  // namespace wire
}  // namespace fettle
