#pragma once
// Two cursors over the bytes of one message: one that writes and one that reads. Both are bounded: a write
// past the longest message is ignored, a read past the end gives 0 and is remembered.

#include "core/engine/bytes.hpp"
#include "core/wire/message.hpp"

namespace fettle {
namespace wire {

class Packer {
public:
    /// Begins a message; `to` holds k_message_max bytes.
    Packer(uint8_t* to, uint8_t type, uint8_t id);
    Packer& u8(uint8_t value);
    Packer& u16(uint16_t value);
    Packer& u32(uint32_t value);
    Packer& bytes(const uint8_t* from, uint8_t count);
    uint8_t size() const { return size_; }

private:
    uint8_t* to_;
    uint8_t size_;
};

class Unpacker {
public:
    Unpacker(const uint8_t* body, uint8_t size);
    uint8_t u8();
    uint16_t u16();
    uint32_t u32();
    void bytes(uint8_t* to, uint8_t count);
    const uint8_t* rest() const { return at_; }
    uint8_t left() const { return left_; }
    /// False once something was read that was not there.
    bool is_whole() const { return !is_short_; }

private:
    const uint8_t* at_;
    uint8_t left_;
    bool is_short_;
};

}  // namespace wire
}  // namespace fettle
