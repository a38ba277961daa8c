#pragma once
// Little-endian bytes and small helpers that the freestanding rooms share.

#include <stddef.h>
#include <stdint.h>
#include <string.h>

namespace fettle {
namespace engine {

// On the 8-bit board a call takes 4 bytes of flash and a copy of most bodies far more, and its compiler's
// estimate is made for larger machines: what has several callers there says so.
#if defined(__AVR__)
#define FETTLE_SHARED __attribute__((noinline))
#else
#define FETTLE_SHARED
#endif

// Where pointers are large, members in bits make up for it. The 8-bit compiler takes no bits of an enum
// class.
#if defined(__AVR__)
#define FETTLE_BITS(count)
#else
#define FETTLE_BITS(count) : count
#endif

// Low byte first. Where that is how the machine keeps its numbers a plain copy is meant, and the 8-bit
// compiler has to be told so.
#if defined(__AVR__)
inline uint16_t get16(const uint8_t* p) {
    uint16_t v;
    memcpy(&v, p, sizeof v);
    return v;
}
inline uint32_t get32(const uint8_t* p) {
    uint32_t v;
    memcpy(&v, p, sizeof v);
    return v;
}
inline void put16(uint8_t* p, uint16_t v) {
    memcpy(p, &v, sizeof v);
}
inline void put32(uint8_t* p, uint32_t v) {
    memcpy(p, &v, sizeof v);
}
#else
inline uint16_t get16(const uint8_t* p) {
    return static_cast<uint16_t>(p[0] | static_cast<uint16_t>(p[1] << 8));
}
inline uint32_t get32(const uint8_t* p) {
    return static_cast<uint32_t>(get16(p)) | (static_cast<uint32_t>(get16(p + 2)) << 16);
}
inline void put16(uint8_t* p, uint16_t v) {
    p[0] = static_cast<uint8_t>(v & 0xFFu);
    p[1] = static_cast<uint8_t>(v >> 8);
}
inline void put32(uint8_t* p, uint32_t v) {
    put16(p, static_cast<uint16_t>(v & 0xFFFFu));
    put16(p + 2, static_cast<uint16_t>(v >> 16));
}
#endif

/// Milliseconds from `from` to `to` on a clock that wraps at 65,536 ms: right for spans up to 32 s.
inline uint16_t since16(uint16_t to, uint16_t from) {
    return static_cast<uint16_t>(to - from);
}

/// Bytes of storage that are read in place. `read` gives false while the storage is busy (an EEPROM write
/// blocks reads for 3.4 ms): the caller tries again in a later tick and never waits.
struct Storage {
    void* owner;
    bool (*read)(void* owner, uint16_t offset, uint8_t* to, uint8_t count);
};

}  // namespace engine
}  // namespace fettle
