#pragma once
// Constants that stay in flash. On the 8-bit board a plain constant is copied to RAM, and flash has an
// address space of its own: what is declared FETTLE_ROM is read through the functions below only.

#include <stdint.h>

#if defined(__AVR__)
#include <avr/pgmspace.h>
#define FETTLE_ROM PROGMEM
#else
#define FETTLE_ROM
#endif

namespace fettle {
namespace engine {

inline uint8_t rom_u8(const uint8_t* from) {
#if defined(__AVR__)
    return pgm_read_byte(from);
#else
    return *from;
#endif
}

inline uint16_t rom_u16(const uint16_t* from) {
#if defined(__AVR__)
    return pgm_read_word(from);
#else
    return *from;
#endif
}

}  // namespace engine
}  // namespace fettle
