#pragma once
// Constant bytes and records that stay in flash (core/engine/rom.hpp): what is declared FETTLE_ROM is read
// through these functions only.

#include <string.h>

#include "core/engine/rom.hpp"

namespace fettle {
namespace wire {

using engine::rom_u16;
using engine::rom_u8;

inline void read_rom(const uint8_t* from, uint8_t* to, uint16_t count) {
#if defined(__AVR__)
    memcpy_P(to, from, count);
#else
    memcpy(to, from, count);
#endif
}

}  // namespace wire
}  // namespace fettle
