#include "core/wire/crc.hpp"

namespace fettle {
namespace wire {

uint16_t crc16_step(uint16_t crc, uint8_t byte) {
    // One byte at a time without a table: the polynomial x^16 + x^12 + x^5 + 1 has so few terms that the
    // eight bit steps fold into three shifts of one folded byte.
    uint8_t x = static_cast<uint8_t>((crc >> 8) ^ byte);
    x = static_cast<uint8_t>(x ^ (x >> 4));
    const uint16_t w = x;
    return static_cast<uint16_t>((crc << 8) ^ (w << 12) ^ (w << 5) ^ w);
}

uint16_t crc16(const uint8_t* bytes, size_t count) {
    uint16_t crc = k_crc16_start;
    for (size_t i = 0; i < count; ++i) crc = crc16_step(crc, bytes[i]);
    return crc;
}

uint32_t crc32_step(uint32_t crc, uint8_t byte) {
    constexpr uint32_t k_reflected = 0xEDB88320u;  // 0x04C11DB7 with its bits in reverse order
    crc ^= byte;
    for (uint8_t bit = 0; bit < 8; ++bit) crc = (crc & 1u) != 0 ? (crc >> 1) ^ k_reflected : crc >> 1;
    return crc;
}

uint32_t crc32(const uint8_t* bytes, size_t count) {
    uint32_t crc = k_crc32_start;
    for (size_t i = 0; i < count; ++i) crc = crc32_step(crc, bytes[i]);
    return crc ^ k_crc32_final;
}

}  // namespace wire
}  // namespace fettle
