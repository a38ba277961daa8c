#pragma once
// What one engine can hold. `hello` states these, so that another board may have others.

#include <stdint.h>

namespace fettle {
namespace engine {

constexpr uint8_t k_max_inputs = 24;   ///< inputs of one profile; ids 24 to 254 are spare, 255 is "none"
constexpr uint8_t k_max_modes = 16;    ///< modes of one profile
constexpr uint8_t k_max_rules = 8;     ///< press rule sets
constexpr uint8_t k_max_motions = 6;   ///< motion sets
constexpr uint8_t k_max_repeats = 4;   ///< device repeat settings (delay, interval)
constexpr uint8_t k_max_variants = 4;  ///< variants of one profile, the first being the profile as it stands
constexpr uint8_t k_switch_lines = 8;  ///< switch lines 1 to 8; line 0 is the infrared receiver
constexpr uint8_t k_axes = 4;          ///< 0 stick x, 1 stick y, 2 pressure, 3 spare
constexpr uint16_t k_mirror_bytes = 256;  ///< inputs, rules, modes and motion, mirrored in RAM
constexpr uint8_t k_max_ir_edges =
    8;  ///< infrared edges a tick; more is noise, counted, and resets the decoders
constexpr uint8_t k_max_edges = 16;    ///< all edges a tick; more are dropped and counted
constexpr uint8_t k_curve_points = 9;  ///< points of a compiled speed curve
constexpr uint8_t k_no_input = 255;
constexpr uint8_t k_label_chars = 12;  ///< longest label that a display shows, bytes of ASCII

constexpr uint16_t k_contract_version = 1;
constexpr uint16_t k_engine_build =
    1;  ///< raised with every change of what the engine makes of the same inputs

}  // namespace engine
}  // namespace fettle
