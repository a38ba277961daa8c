#pragma once
// Ranges of the records of an image. Plain questions: no storage, no state.

#include "core/wire/image.hpp"

namespace fettle {
namespace wire {

/// Sections have a number: the low nibble of their tag. The second and third variant stand behind the first.
constexpr uint8_t section_of(Tag tag) {
    return static_cast<uint8_t>(tag) & 0x0Fu;
}
constexpr uint8_t k_sections = 15;
constexpr uint8_t tag_of(uint8_t section) {
    return section == section_of(Tag::labels)   ? static_cast<uint8_t>(Tag::labels)
           : section > section_of(Tag::variant) ? static_cast<uint8_t>(Tag::variant)
                                                : static_cast<uint8_t>(section | k_must_understand);
}

/// How much of each thing the image has, by the section's number: what its indices may name. The grid: rows.
struct Counts {
    uint8_t of[k_sections];
    uint8_t at(Tag tag) const { return of[section_of(tag)]; }
};

constexpr uint16_t k_consumer_usage_max =
    0x3FF;                               ///< logical maximum of the consumer report (descriptors.cpp)
constexpr uint8_t k_first_usage = 0x04;  ///< 1 to 3 of page 07 report errors and are no keys
constexpr uint8_t k_last_usage = 0xA4;   ///< logical maximum of the keyboard report's usages

/// One record of a section whose records have a fixed size, a mode's cell, a character of a label.
bool is_record_ok(uint8_t section, const uint8_t* raw, const Counts& counts);
/// A motion record's body, past its length byte; the first k_motion_checked_bytes of it are looked at.
bool is_motion_ok(const uint8_t* body, uint8_t size);
constexpr uint8_t k_motion_checked_bytes = 10;
bool is_usage_ok(uint8_t usage);

constexpr uint8_t k_pace_bytes = 6;
constexpr uint16_t k_trial_least_s = 20;
constexpr uint16_t k_trial_most_s = 600;

}  // namespace wire
}  // namespace fettle
