#include "core/engine/plane.hpp"

#include "core/engine/rom.hpp"

namespace fettle {
namespace engine {
namespace plane {

namespace {

constexpr uint8_t k_quarter = k_quarter_turn;

/// sin(i / 256 turn) in Q15, the first quarter.
const uint16_t k_sines[k_quarter + 1] FETTLE_ROM = {
    0,     804,   1608,  2411,  3212,  4011,  4808,  5602,  6393,  7180,  7962,  8740,  9512,
    10279, 11039, 11793, 12540, 13279, 14010, 14733, 15447, 16151, 16846, 17531, 18205, 18868,
    19520, 20160, 20788, 21403, 22006, 22595, 23170, 23732, 24279, 24812, 25330, 25833, 26320,
    26791, 27246, 27684, 28106, 28511, 28899, 29269, 29622, 29957, 30274, 30572, 30853, 31114,
    31357, 31581, 31786, 31972, 32138, 32286, 32413, 32522, 32610, 32679, 32729, 32758, 32768};

FETTLE_SHARED uint32_t square(int16_t v) {
    return static_cast<uint32_t>(static_cast<int32_t>(v) * v);
}

}  // namespace

int32_t sine(uint8_t angle) {
    const uint8_t in_half = angle & (2 * k_quarter - 1);
    const uint8_t index = in_half > k_quarter ? static_cast<uint8_t>(2 * k_quarter - in_half) : in_half;
    const int32_t value = rom_u16(k_sines + index);
    return angle < 2 * k_quarter ? value : -value;
}

int16_t rounded_q15(int32_t v) {
    v += v;
    return static_cast<int16_t>((v + 0x8000 - (v < 0)) >> 16);
}

int16_t rounded_q8(int32_t v) {
    return static_cast<int16_t>((v + 0x80 - (v < 0)) >> 8);
}

uint16_t length(int16_t x, int16_t y) {
    // Bit by bit, because the board multiplies 16 bits faster than it shifts 32.
    const uint32_t sum = square(x) + square(y);
    uint16_t root = 0;
    for (uint16_t bit = sum < 0x1000000u ? 0x800u : 0x4000u; bit != 0;
         bit = static_cast<uint16_t>(bit >> 1)) {
        const uint16_t tried = static_cast<uint16_t>(root | bit);
        if (static_cast<uint32_t>(tried) * tried <= sum) root = tried;
    }
    const uint32_t past = sum - static_cast<uint32_t>(root) * root;
    return past > root ? static_cast<uint16_t>(root + 1u) : root;
}

void shorten(Vector& v, uint16_t from, uint16_t to) {
    const int32_t share = static_cast<int32_t>(((static_cast<uint32_t>(to) << 15) + from / 2u) / from);
    v.x = rounded_q15(v.x * share);
    v.y = rounded_q15(v.y * share);
}

Vector rotated(Vector v, uint8_t angle) {
    const int32_t s = sine(angle), c = cosine(angle);
    return Vector{rounded_q15(v.x * c - v.y * s), rounded_q15(v.x * s + v.y * c)};
}

uint32_t interpolated(uint32_t from, uint32_t to, uint16_t part, uint16_t parts) {
    const uint32_t size = to > from ? to - from : from - to;
    const uint32_t moved = (size * part + parts / 2u) / parts;
    return to > from ? from + moved : from - moved;
}

}  // namespace plane
}  // namespace engine
}  // namespace fettle
