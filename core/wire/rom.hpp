#pragma once
// Constant bytes that stay in flash. On the 8-bit board a plain constant is copied to RAM, and flash has an
// address space of its own: what is declared FETTLE_ROM is read through read_rom() only.

#include <stdint.h>
#include <string.h>

#if defined(__AVR__)
#include <avr/pgmspace.h>
#define FETTLE_ROM PROGMEM
#else
#define FETTLE_ROM
#endif

namespace fettle {
namespace wire {

inline void read_rom(const uint8_t* from, uint8_t* to, uint16_t count) {
#if defined(__AVR__)
    memcpy_P(to, from, count);
#else
    memcpy(to, from, count);
#endif
}

inline uint8_t rom_byte(const uint8_t* from) {
#if defined(__AVR__)
    return pgm_read_byte(from);
#else
    return *from;
#endif
}

inline uint16_t rom_word(const uint16_t* from) {
#if defined(__AVR__)
    return pgm_read_word(from);
#else
    return *from;
#endif
}

}  // namespace wire
}  // namespace fettle
