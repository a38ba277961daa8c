#pragma once
// Sets of inputs as bits: an idle tick asks one word, not 24 inputs.

#include "core/engine/bytes.hpp"
#include "core/engine/limits.hpp"

namespace fettle {
namespace engine {

FETTLE_SHARED inline uint32_t input_bit(uint8_t input) {
    return static_cast<uint32_t>(1) << input;
}
FETTLE_SHARED inline bool has_bit(uint32_t set, uint8_t input) {
    return (set & input_bit(input)) != 0;
}
FETTLE_SHARED inline void set_bit(uint32_t& set, uint8_t input, bool is_in) {
    set = is_in ? set | input_bit(input) : set & ~input_bit(input);
}
/// Takes the lowest member out of a set that is not empty.
FETTLE_SHARED inline uint8_t take_lowest(uint32_t& set) {
    uint8_t input = 0;
    while ((set & input_bit(input)) == 0) ++input;
    set &= set - 1u;
    return input;
}

}  // namespace engine
}  // namespace fettle
