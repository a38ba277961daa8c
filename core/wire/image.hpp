#pragma once
// The profile image: what a device stores and reads in place.
//
// Header, 20 bytes:
//   0 format version u8 (1)      1 flags u8 (0)            2 whole size u16, header included
//   4 profile id, 8 bytes        12 profile version u16    14 spare u16 (0)
//   16 CRC-32 u32 over bytes 0..15 and 20..size-1
// then sections: tag u8, size u16, bytes. A tag with bit 7 set must be understood: a reader that does not
// know it refuses the image. Others may be skipped. Each tag stands once at most, except `variant`. A profile
// id says which profile it is, never whose.
//
// Everything in an image is checked before the engine sees it: load() refuses with a fault and never reads
// past the end.

#include "core/engine/setup.hpp"

namespace fettle {
namespace wire {

constexpr uint8_t k_image_format = 1;
constexpr uint16_t k_image_header_bytes = 20;
constexpr uint16_t k_section_header_bytes = 3;
constexpr uint8_t k_profile_id_bytes = 8;
constexpr uint8_t k_must_understand = 0x80;

enum class Tag : uint8_t {
    inputs = 0x81,  ///< InputDef records (setup.hpp), 5 bytes each
    rules = 0x82,   ///< RuleDef records, 19 bytes each
    modes =
        0x83,  ///< mode count u8, then count * inputs cells: action numbers of short presses, mode by mode
    gestures = 0x84,  ///< gesture cells, 3 bytes each
    actions = 0x85,   ///< ActionDef records, 3 bytes each; the first is number 1
    motions = 0x86,   ///< motion records: length u8, body (setup.hpp)
    repeats = 0x87,   ///< RepeatDef records, 4 bytes each
    texts = 0x88,     ///< texts: length u8, strokes
    labels = 0x09,    ///< length u8, ASCII: the modes' labels, then the variants' from the second on
    grid = 0x8A,      ///< rows u8, columns u8, rows * columns strokes
    pace = 0x8B,      ///< stroke gap u16, click gap u16, trial seconds u16
    variant = 0x8C,   ///< one a variant from the second on: overrides: what u8 (0x00 + rule: RuleDef; 0x40 +
                      ///< motion: motion record)
};
constexpr uint8_t k_override_motion = 0x40;

enum class ImageFault : uint8_t {
    none = 0,
    busy = 1,    ///< storage did not answer: try again
    format = 2,  ///< format version that this reader does not know
    size = 3,    ///< size smaller than the header or larger than the room
    crc = 4,
    section = 5,  ///< a section runs past the end, stands twice, or has a size that its records do not divide
    unknown_section = 6,  ///< a section that must be understood and is not known
    missing = 7,          ///< inputs, rules, modes or actions are not there
    range = 8,            ///< a value or an index outside its range
    mirror = 9,           ///< does not fit the RAM mirror
};

struct ImageHeader {
    uint8_t format;
    uint16_t size;
    uint8_t profile_id[k_profile_id_bytes];
    uint16_t profile_version;
    uint32_t crc;
};

/// What load() says of an image: the fault, and in which section (tag, 0 = the header).
struct ImageVerdict {
    ImageFault fault;
    uint8_t tag;
};

/// Reads the header alone and checks format and size (not the CRC). `room`: bytes that the storage holds.
ImageFault read_header(const engine::Storage& storage, uint16_t room, ImageHeader& out);

/// CRC of a whole image, a few bytes a call so that no tick waits: start with state 0, call until `done`.
struct CrcWalk {
    uint16_t at;
    uint32_t crc;
    bool done;
};
/// False while the storage is busy. `bytes`: how many bytes to go on for.
bool crc_step(const engine::Storage& storage, const ImageHeader& header, CrcWalk& walk, uint8_t bytes);

/// Checks every section and record, of all variants, without filling anything. The CRC is not read again.
ImageVerdict check(const engine::Storage& storage, uint16_t room);

/// Checks all sections and fills `setup` for `variant` (0: the profile as it stands). The CRC is not read
/// again. On a fault `setup` is cleared. Errors: every ImageFault but crc.
ImageVerdict load(const engine::Storage& storage, uint16_t room, uint8_t variant, engine::Setup& setup);

/// Builds an image in a buffer of the caller's. Bounded: after an overflow every call is ignored and size()
/// is what would have been needed.
class ImageWriter {
public:
    ImageWriter(uint8_t* to, uint16_t room);
    void begin_section(Tag tag);
    void put(uint8_t byte);
    void put(const uint8_t* bytes, uint16_t count);
    void end_section();
    /// Writes the header with size and CRC. False when the room was too small.
    bool finish(const uint8_t* profile_id, uint16_t profile_version);
    uint16_t size() const { return used_; }

private:
    uint8_t* to_;
    uint16_t room_;
    uint16_t used_;
    uint16_t section_at_;
};

/// A storage over bytes in memory (host, tests, the built-in profile on machines with one address space).
struct MemoryImage {
    const uint8_t* bytes;
    uint16_t size;
};
engine::Storage storage_of(MemoryImage& image);

/// The safe profile that every device carries: switches work, an untaught remote can be taught from the host.
extern const uint8_t k_built_in_image[];
extern const uint16_t k_built_in_image_bytes;
/// Reads it where it lies (the bytes are in flash on the 8-bit board: rom.hpp).
engine::Storage built_in_storage();

}  // namespace wire
}  // namespace fettle
