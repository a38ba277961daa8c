#pragma once
// Two checksums of the wire, byte by byte and without tables (a table would be copied to RAM on the board).

#include <stddef.h>
#include <stdint.h>

namespace fettle {
namespace wire {

/// CRC-16/CCITT-FALSE (catalogue name CRC-16/IBM-3740): polynomial 0x1021, start 0xFFFF, not reflected, no
/// final XOR. Guards frames on the byte stream.
constexpr uint16_t k_crc16_start = 0xFFFF;
uint16_t crc16_step(uint16_t crc, uint8_t byte);
uint16_t crc16(const uint8_t* bytes, size_t count);

/// CRC-32 (the one of IEEE 802.3 and zlib): reflected, start and final XOR 0xFFFFFFFF. Guards images.
/// step() works on the raw register; value = register ^ 0xFFFFFFFF.
constexpr uint32_t k_crc32_start = 0xFFFFFFFFu;
constexpr uint32_t k_crc32_final = 0xFFFFFFFFu;
uint32_t crc32_step(uint32_t crc, uint8_t byte);
uint32_t crc32(const uint8_t* bytes, size_t count);

}  // namespace wire
}  // namespace fettle
