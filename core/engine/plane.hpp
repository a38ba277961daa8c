#pragma once
// The plane in whole numbers, for what a stick does. Each result is the nearest whole number (shorten,
// rotated: within 0.7 for vectors up to 5,657 long), the same on both sides of 0. Freestanding C++14.

#include "core/engine/bytes.hpp"

namespace fettle {
namespace engine {
namespace plane {

struct Vector {
    int16_t x, y;
};

constexpr uint8_t k_quarter_turn = 64;  ///< angles are in 1/256 turn

/// In Q15: -32768 to 32768.
int32_t sine(uint8_t angle);
inline int32_t cosine(uint8_t angle) {
    return sine(static_cast<uint8_t>(angle + k_quarter_turn));
}

inline uint16_t size_of(int16_t v) {
    return static_cast<uint16_t>(v < 0 ? -v : v);
}

inline int16_t within(int16_t v, int16_t most) {
    return v > most ? most : v < -most ? static_cast<int16_t>(-most) : v;
}

/// v / 2^15. Up to 2^30 on each side.
int16_t rounded_q15(int32_t v);
/// v / 2^8. Up to 2^23.
int16_t rounded_q8(int32_t v);

/// sqrt(x^2 + y^2). Up to 22,627 on each axis.
uint16_t length(int16_t x, int16_t y);

/// Makes what is `from` long (not 0) `to` long; `to` is at most `from` and 4,000.
void shorten(Vector& v, uint16_t from, uint16_t to);

/// Clockwise where y is down. Up to 16,000 long.
Vector rotated(Vector v, uint8_t angle);

/// part / parts of the way between two amounts below 2^20. parts: 1 to 4,096.
uint32_t interpolated(uint32_t from, uint32_t to, uint16_t part, uint16_t parts);

}  // namespace plane
}  // namespace engine
}  // namespace fettle
