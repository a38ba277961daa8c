#pragma once
// Profiles that make the device send every kind of report.

#include "tests/wire/support/images.hpp"

namespace fettle::rig {

// The switches of outputs_image().
constexpr std::uint8_t k_shift_a = 1;  ///< left shift and a, as long as it is held
constexpr std::uint8_t k_button = 2;   ///< button 1, as long as it is held
constexpr std::uint8_t k_drag = 3;     ///< button 1 until the next press
constexpr std::uint8_t k_move = 4;     ///< to the right, up to 1.5 counts a ms
constexpr std::uint8_t k_wheel = 5;    ///< up by 2
constexpr std::uint8_t k_pan = 6;      ///< right by 3
constexpr std::uint8_t k_volume = 7;   ///< volume up, tapped
constexpr std::uint8_t k_control = 8;  ///< latches left control

/// One switch for each kind of output.
test::Bytes outputs_image();
/// The same switches, of which k_move alone does something.
test::Bytes motion_image();

}  // namespace fettle::rig
