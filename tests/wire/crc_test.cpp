#include "core/wire/crc.hpp"

#include <doctest/doctest.h>

#include <cstring>
#include <vector>

using namespace fettle::wire;

namespace {

struct Row {
    const char* name;
    std::vector<uint8_t> bytes;
    uint16_t ccitt_false;
    uint32_t crc32;
};

std::vector<uint8_t> counting() {
    std::vector<uint8_t> bytes;
    for (int i = 0; i < 256; ++i) bytes.push_back(static_cast<uint8_t>(i));
    return bytes;
}

std::vector<uint8_t> text(const char* from) {
    return {from, from + std::strlen(from)};
}

// Source: the check value of "123456789" is that of both algorithms in the published catalogues of
// parametrised CRC algorithms (CRC-16/IBM-3740, CRC-32/ISO-HDLC); all rows were computed with the Debian
// package python3-crccheck 1.0 and zlib.
const std::vector<Row> k_rows = {
    {"123456789", text("123456789"), 0x29B1, 0xCBF43926},
    {"nothing", {}, 0xFFFF, 0x00000000},
    {"00", {0x00}, 0xE1F0, 0xD202EF8D},
    {"FF", {0xFF}, 0xFF00, 0xFF000000},
    {"A", text("A"), 0xB915, 0xD3D99E8B},
    {"four zeros", {0, 0, 0, 0}, 0x84C0, 0x2144DF1C},
    {"00 to FF", counting(), 0x3FBD, 0x29058C73},
};

/// The definition, bit by bit.
uint16_t slow_crc16(const std::vector<uint8_t>& bytes) {
    uint32_t crc = 0xFFFF;
    for (uint8_t byte : bytes)
        for (int bit = 7; bit >= 0; --bit) {
            const uint32_t top = (crc >> 15 & 1u) ^ (byte >> bit & 1u);
            crc = (crc << 1 & 0xFFFFu) ^ (top != 0 ? 0x1021u : 0u);
        }
    return static_cast<uint16_t>(crc);
}

}  // namespace

TEST_CASE("crc: seven published inputs give the published CRC-16/CCITT-FALSE") {
    for (const auto& row : k_rows) {
        CAPTURE(row.name);
        CHECK(crc16(row.bytes.data(), row.bytes.size()) == row.ccitt_false);
    }
}

TEST_CASE("crc: seven published inputs give the published CRC-32") {
    for (const auto& row : k_rows) {
        CAPTURE(row.name);
        CHECK(crc32(row.bytes.data(), row.bytes.size()) == row.crc32);
    }
}

TEST_CASE("crc: the folded CRC-16 step is the bit by bit definition for all 65,536 states and a byte each") {
    for (uint32_t state = 0; state < 0x10000; ++state) {
        const auto byte = static_cast<uint8_t>(state * 31u >> 3);
        // A state is reached from the start by the two bytes that make it; the definition is linear, so
        // compare steps.
        uint32_t crc = state ^ static_cast<uint32_t>(byte) << 8;
        for (int bit = 0; bit < 8; ++bit) crc = (crc << 1) ^ ((crc & 0x8000u) != 0 ? 0x11021u : 0u);
        REQUIRE(crc16_step(static_cast<uint16_t>(state), byte) == static_cast<uint16_t>(crc));
    }
    CHECK(slow_crc16(text("123456789")) == 0x29B1);
}

TEST_CASE("crc: a message followed by its CRC-16, high byte first, has the CRC 0") {
    // Follows from the definition: no final XOR, not reflected.
    auto bytes = text("community tool library");
    const uint16_t crc = crc16(bytes.data(), bytes.size());
    bytes.push_back(static_cast<uint8_t>(crc >> 8));
    bytes.push_back(static_cast<uint8_t>(crc & 0xFF));
    CHECK(crc16(bytes.data(), bytes.size()) == 0);
}
