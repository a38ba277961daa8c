#pragma once
// What a board tells the host of itself before any report: device, configuration, strings. Shared by the
// firmware and by the device that the kernel rig makes, so that the rig meets what will ship. In flash on the
// board: read through read_rom(). Six endpoints beside the control one, as the ATmega32U4 has: keyboard,
// pointer and raw HID in, serial notices in, serial data out and in. The raw channel has no endpoint out: the
// host sends its reports as SET_REPORT. Source: USB 2.0, chapter 9; HID 1.11, section 6.2; CDC 1.2 and
// PSTN 1.2; interface association, USB ECN of 2003; ids: the open registry's test range (1209:0001).

#include "core/wire/descriptors.hpp"

namespace fettle {
namespace wire {

constexpr uint16_t k_usb_vendor = 0x1209;
constexpr uint16_t k_usb_product = 0x0001;

// Endpoint addresses: bit 7 set is "to the host".
constexpr uint8_t k_keyboard_endpoint = 0x81;
constexpr uint8_t k_pointer_endpoint = 0x82;
constexpr uint8_t k_raw_endpoint = 0x83;
constexpr uint8_t k_serial_notice_endpoint = 0x84;
constexpr uint8_t k_serial_out_endpoint = 0x05;
constexpr uint8_t k_serial_in_endpoint = 0x86;

// Packet sizes, all within what one bank of the ATmega32U4 holds (its data sheet, USB chapter: 64 bytes for
// endpoints 2 to 6, 832 bytes in all).
constexpr uint8_t k_control_packet = 64;
constexpr uint8_t k_keyboard_packet = 8, k_pointer_packet = 16, k_raw_packet = 64;
constexpr uint8_t k_serial_notice_packet = 8, k_serial_packet = 64;

constexpr uint8_t k_interfaces = 5;
constexpr uint8_t k_serial_data_interface = 4;

// String numbers.
constexpr uint8_t k_maker_string = 1, k_product_string = 2, k_serial_string = 3;

constexpr uint16_t k_device_descriptor_bytes = 18;
extern const uint8_t k_device_descriptor[k_device_descriptor_bytes] FETTLE_ROM;
constexpr uint16_t k_configuration_descriptor_bytes = 150;
extern const uint8_t k_configuration_descriptor[k_configuration_descriptor_bytes] FETTLE_ROM;
/// ASCII; a board widens it to UTF-16 as it sends it. The serial number is DeviceIdentity's.
constexpr uint8_t k_maker_text_bytes = 6, k_product_text_bytes = 20;  // no zero at the end
extern const char k_maker_text[k_maker_text_bytes] FETTLE_ROM;        // "Fettle"
extern const char k_product_text[k_product_text_bytes] FETTLE_ROM;    // "Fettle access device"

}  // namespace wire
}  // namespace fettle
