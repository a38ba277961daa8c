#include "core/wire/pack.hpp"

namespace fettle {
namespace wire {

// Not inline: each of these is used some forty times, and flash is what the board has least of.

Packer::Packer(uint8_t* to, uint8_t type, uint8_t id) : to_(to), size_(0) {
    u8(type).u8(id);
}

Packer& Packer::u8(uint8_t value) {
    if (size_ < k_message_max) to_[size_++] = value;
    return *this;
}

Packer& Packer::u16(uint16_t value) {
    return u8(static_cast<uint8_t>(value & 0xFFu)).u8(static_cast<uint8_t>(value >> 8));
}

Packer& Packer::u32(uint32_t value) {
    return u16(static_cast<uint16_t>(value & 0xFFFFu)).u16(static_cast<uint16_t>(value >> 16));
}

Packer& Packer::bytes(const uint8_t* from, uint8_t count) {
    for (uint8_t i = 0; i < count; ++i) u8(from[i]);
    return *this;
}

Unpacker::Unpacker(const uint8_t* body, uint8_t size) : at_(body), left_(size), is_short_(false) {}

uint8_t Unpacker::u8() {
    if (left_ == 0) {
        is_short_ = true;
        return 0;
    }
    --left_;
    return *at_++;
}

uint16_t Unpacker::u16() {
    const uint16_t low = u8();
    const uint16_t high = u8();
    return static_cast<uint16_t>(low | static_cast<uint16_t>(high << 8));
}

uint32_t Unpacker::u32() {
    const uint32_t low = u16();
    const uint32_t high = u16();
    return low | (high << 16);
}

void Unpacker::bytes(uint8_t* to, uint8_t count) {
    for (uint8_t i = 0; i < count; ++i) to[i] = u8();
}

}  // namespace wire
}  // namespace fettle
