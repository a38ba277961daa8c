#pragma once
// Linux key code of a HID keyboard usage; X and xkb key codes are 8 more.
// Source: Linux 6.1, drivers/hid/hid-input.c, hid_keyboard[].

#include <cstdint>

namespace fettle::profile {

/// usage: page 07. 0 for usages that the kernel maps to no key.
std::uint16_t evdev_code(std::uint8_t usage);

}  // namespace fettle::profile
