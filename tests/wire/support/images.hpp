#pragma once
// Images for tests: one with everything in it, and small ones that differ in a byte.

#include <functional>
#include <string>
#include <vector>

#include "core/wire/image.hpp"
#include "core/wire/image_check.hpp"

namespace fettle::test {

using Bytes = std::vector<uint8_t>;

/// A section's body and tag, before they become an image.
struct Section {
    uint8_t tag;
    Bytes body;
};
using Sections = std::vector<Section>;

/// header fields that are not the writer's to choose are 0.
Bytes build(const Sections& sections, uint16_t version = 1);
/// Sets size and CRC of bytes that were changed by hand.
void seal(Bytes& image);
uint32_t crc_of(const Bytes& image);

/// Every section, every source, every action kind, two variants.
Sections full_sections();
Bytes full_image(uint16_t version = 1);

/// Two switches (1 clicks, 2 releases everything), two modes (switch 3 goes between them), a text on switch
/// 4, keep, revert and extend on 5 to 7, the next variant on 8. `version` changes the CRC.
Sections plain_sections();
Bytes plain_image(uint16_t version);

Section& section_of(Sections& sections, wire::Tag tag);
/// The setup reads from `image` until the next load_from().
wire::ImageVerdict load_from(const Bytes& image, uint8_t variant, engine::Setup& setup);
wire::ImageVerdict verdict_of(const Bytes& image);

}  // namespace fettle::test
