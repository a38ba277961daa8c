#include "core/wire/image.hpp"

#include "core/wire/crc.hpp"
#include "core/wire/rom.hpp"

namespace fettle {
namespace wire {

using engine::get16;
using engine::get32;
using engine::put16;
using engine::put32;
using engine::Storage;

namespace {

constexpr uint16_t k_crc_at = 16;
constexpr uint16_t k_no_section = 0xFFFF;

bool read_memory(void* owner, uint16_t offset, uint8_t* to, uint8_t count) {
    const MemoryImage* image = static_cast<const MemoryImage*>(owner);
    if (offset > image->size || count > image->size - offset) return false;
    memcpy(to, image->bytes + offset, count);
    return true;
}

bool read_built_in(void*, uint16_t offset, uint8_t* to, uint8_t count) {
    if (offset > k_built_in_image_bytes || count > k_built_in_image_bytes - offset) return false;
    read_rom(k_built_in_image + offset, to, count);
    return true;
}

}  // namespace

ImageFault read_header(const Storage& storage, uint16_t room, ImageHeader& out) {
    memset(&out, 0, sizeof out);
    if (room < k_image_header_bytes) return ImageFault::size;
    uint8_t raw[k_image_header_bytes];
    if (!storage.read(storage.owner, 0, raw, sizeof raw)) return ImageFault::busy;
    out.format = raw[0];
    out.size = get16(raw + 2);
    memcpy(out.profile_id, raw + 4, k_profile_id_bytes);
    out.profile_version = get16(raw + 12);
    out.crc = get32(raw + k_crc_at);
    // No flag is defined yet: an image that sets one counts on something that this reader does not do.
    if (out.format != k_image_format || raw[1] != 0) return ImageFault::format;
    if (out.size < k_image_header_bytes || out.size > room) return ImageFault::size;
    return ImageFault::none;
}

bool crc_step(const Storage& storage, const ImageHeader& header, CrcWalk& walk, uint8_t bytes) {
    if (walk.done) return true;
    if (walk.at == 0) walk.crc = k_crc32_start;
    for (; walk.at < header.size; --bytes) {
        uint8_t byte;
        if (bytes == 0) return true;
        if (!storage.read(storage.owner, walk.at, &byte, 1)) return false;
        walk.crc = crc32_step(walk.crc, byte);
        if (++walk.at == k_crc_at) walk.at = k_image_header_bytes;
    }
    walk.crc ^= k_crc32_final;
    walk.done = true;
    return true;
}

ImageWriter::ImageWriter(uint8_t* to, uint16_t room)
    : to_(to), room_(room), used_(0), section_at_(k_no_section) {
    for (uint16_t i = 0; i < k_image_header_bytes; ++i) put(uint8_t{0});
}

void ImageWriter::begin_section(Tag tag) {
    end_section();
    section_at_ = used_;
    put(static_cast<uint8_t>(tag));
    put(uint8_t{0});
    put(uint8_t{0});
}

void ImageWriter::put(uint8_t byte) {
    if (used_ < room_) to_[used_] = byte;
    if (used_ < 0xFFFF) ++used_;
}

void ImageWriter::put(const uint8_t* bytes, uint16_t count) {
    for (uint16_t i = 0; i < count; ++i) put(bytes[i]);
}

void ImageWriter::end_section() {
    if (section_at_ == k_no_section) return;
    const uint16_t body = static_cast<uint16_t>(used_ - section_at_ - k_section_header_bytes);
    if (used_ <= room_) put16(to_ + section_at_ + 1, body);
    section_at_ = k_no_section;
}

bool ImageWriter::finish(const uint8_t* profile_id, uint16_t profile_version) {
    end_section();
    if (used_ > room_ || used_ == 0xFFFF) return false;
    to_[0] = k_image_format;
    to_[1] = 0;
    put16(to_ + 2, used_);
    memcpy(to_ + 4, profile_id, k_profile_id_bytes);
    put16(to_ + 12, profile_version);
    put16(to_ + 14, 0);
    MemoryImage image = {to_, used_};
    const ImageHeader header = {k_image_format, used_, {0}, profile_version, 0};
    CrcWalk walk = {0, 0, false};
    while (!walk.done) crc_step(storage_of(image), header, walk, 255);
    put32(to_ + k_crc_at, walk.crc);
    return true;
}

Storage storage_of(MemoryImage& image) {
    return Storage{&image, read_memory};
}

Storage built_in_storage() {
    return Storage{nullptr, read_built_in};
}

}  // namespace wire
}  // namespace fettle
