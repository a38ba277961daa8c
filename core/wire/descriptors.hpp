#pragma once
// HID report descriptors: what the host is told of the reports that the engine fills (core/engine/report.hpp)
// and of the raw channel (frame.hpp). Three HID interfaces; the fourth, the serial port, has none.
// In flash on the board: read through read_rom().
// Source: Device Class Definition for HID 1.11; HID Usage Tables, pages 01, 07, 08, 09, 0C.

#include "core/wire/rom.hpp"

namespace fettle {
namespace wire {

constexpr uint8_t k_keyboard_interface = 0;  ///< class 3, subclass 1 (boot), protocol 1
constexpr uint8_t k_pointer_interface = 1;   ///< class 3, subclass 1 (boot), protocol 2; report ids 1 and 2
constexpr uint8_t k_raw_interface = 2;       ///< class 3, no boot protocol
constexpr uint8_t k_serial_interface = 3;

/// Raised with each change of a descriptor, because hosts remember what a device looked like.
constexpr uint16_t k_descriptor_release_bcd = 0x0001;

constexpr uint16_t k_raw_usage_page = 0xFF8E;  ///< vendor-defined pages are FF00 to FFFF
constexpr uint8_t k_raw_usage = 0x01;

constexpr uint16_t k_keyboard_descriptor_bytes = 62;
constexpr uint16_t k_pointer_descriptor_bytes = 92;
constexpr uint16_t k_raw_descriptor_bytes = 31;
extern const uint8_t k_keyboard_descriptor[k_keyboard_descriptor_bytes] FETTLE_ROM;
extern const uint8_t k_pointer_descriptor[k_pointer_descriptor_bytes] FETTLE_ROM;
extern const uint8_t k_raw_descriptor[k_raw_descriptor_bytes] FETTLE_ROM;

}  // namespace wire
}  // namespace fettle
