#include "core/profile/evdev_codes.hpp"

#include <array>

namespace fettle::profile {

namespace {

// clang-format off
constexpr std::array<std::uint8_t, 0x74> k_codes = {
      0,   0,   0,   0,  30,  48,  46,  32,  18,  33,  34,  35,  23,  36,  37,  38,  // 00
     50,  49,  24,  25,  16,  19,  31,  20,  22,  47,  17,  45,  21,  44,   2,   3,  // 10
      4,   5,   6,   7,   8,   9,  10,  11,  28,   1,  14,  15,  57,  12,  13,  26,  // 20
     27,  43,  43,  39,  40,  41,  51,  52,  53,  58,  59,  60,  61,  62,  63,  64,  // 30
     65,  66,  67,  68,  87,  88,  99,  70, 119, 110, 102, 104, 111, 107, 109, 106,  // 40
    105, 108, 103,  69,  98,  55,  74,  78,  96,  79,  80,  81,  75,  76,  77,  71,  // 50
     72,  73,  82,  83,  86, 127, 116, 117, 183, 184, 185, 186, 187, 188, 189, 190,  // 60
    191, 192, 193, 194,                                                              // 70
};
constexpr std::array<std::uint8_t, 8> k_modifier_codes = {29, 42, 56, 125, 97, 54, 100, 126};
// clang-format on

}  // namespace

std::uint16_t evdev_code(std::uint8_t usage) {
    if (usage >= 0xE0 && usage <= 0xE7) return k_modifier_codes[usage - 0xE0u];
    return usage < k_codes.size() ? k_codes[usage] : 0;
}

}  // namespace fettle::profile
