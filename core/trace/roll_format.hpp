#pragma once
// The format of a roll as bytes; only roll_pack.cpp and roll_unpack.cpp include this.
// All numbers little-endian.
//
//   magic        8 bytes  "FETROLL" 0x1A: a text editor, a terminal and a transfer that changes line ends all
//                         show themselves
//   version      u32      1
//   parts, each: tag u32, size u32, CRC-32 u32 (of tag, size and body), body. In this order:
//   'HEAD'  image_crc u32, engine_build u16, has_usages u8, 0 u8, batches_lost u32, events_lost u32, began_ms
//           i64, last_us i64, events u64
//   'TEXT'  name, device serial; inputs u16, their names; modes u16, their names. A text: size u16, UTF-8
//   'IMAG'  profile image; only where there is one
//   'EVTS'  time before the first i64, events u32, their records (record.hpp); any number of parts
//   'END '  events u64: all there
//
// A part with an unknown tag is an error: what a later version adds raises the version.

#include <cstdint>
#include <string>
#include <string_view>

#include "core/base/utf8.hpp"
#include "core/engine/bytes.hpp"
#include "core/trace/roll_file.hpp"
#include "core/wire/crc.hpp"

namespace fettle::trace {

inline constexpr std::string_view k_roll_magic("FETROLL\x1A", 8);
constexpr std::size_t k_part_head_bytes = 12;
constexpr std::size_t k_part_named_bytes = 8;  ///< of the head: tag and size, under the checksum
constexpr std::size_t k_events_head_bytes = 12;

enum class PartTag : std::uint32_t {
    head = 0x44414548,    // "HEAD"
    text = 0x54584554,    // "TEXT"
    image = 0x47414D49,   // "IMAG"
    events = 0x53545645,  // "EVTS"
    end = 0x20444E45,     // "END "
};

/// Appends numbers and whole parts.
class PartWriter {
public:
    void u8(unsigned v) { out_.push_back(static_cast<char>(v)); }
    void u16(std::uint16_t v) {
        u8(v & 0xFFu);
        u8(v >> 8);
    }
    void u32(std::uint32_t v) {
        u16(static_cast<std::uint16_t>(v & 0xFFFFu));
        u16(static_cast<std::uint16_t>(v >> 16));
    }
    void u64(std::uint64_t v) {
        u32(static_cast<std::uint32_t>(v & 0xFFFFFFFFu));
        u32(static_cast<std::uint32_t>(v >> 32));
    }
    void i64(std::int64_t v) { u64(static_cast<std::uint64_t>(v)); }
    void text(const std::string& v) {
        u16(static_cast<std::uint16_t>(v.size()));
        out_ += v;
    }
    void raw(const std::uint8_t* from, std::size_t count) {
        out_.append(reinterpret_cast<const char*>(from), count);
    }
    void begin(PartTag tag);
    void end();
    std::size_t part_bytes() const { return out_.size() - part_ - k_part_head_bytes; }
    /// Over what was written in_part bytes into the part's body.
    void set_u32(std::size_t in_part, std::uint32_t v);
    std::string& out() { return out_; }

private:
    std::string out_;
    std::size_t part_ = 0;
};

/// Reads numbers; one that is not there gives 0, and is_short() from then on.
class PartReader {
public:
    explicit PartReader(std::string_view bytes) : bytes_(bytes) {}
    std::uint8_t u8() { return static_cast<std::uint8_t>(number(1)); }
    std::uint16_t u16() { return static_cast<std::uint16_t>(number(2)); }
    std::uint32_t u32() { return static_cast<std::uint32_t>(number(4)); }
    std::uint64_t u64() { return number(8); }
    std::int64_t i64() { return static_cast<std::int64_t>(number(8)); }
    /// False: not there, too long, or no UTF-8.
    bool text(std::string& out);
    std::string_view take(std::size_t count);
    std::size_t at() const { return at_; }
    std::size_t left() const { return bytes_.size() - at_; }
    bool is_short() const { return is_short_; }
    bool is_whole() const { return !is_short_ && at_ == bytes_.size(); }

private:
    std::uint64_t number(std::size_t count);

    std::string_view bytes_;
    std::size_t at_ = 0;
    bool is_short_ = false;
};

/// The checksum of a part: of its tag and size, then of its body.
std::uint32_t part_crc(std::string_view named, std::string_view body);

}  // namespace fettle::trace
