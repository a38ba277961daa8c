#pragma once
// A simulated device with a profile already kept in its storage, sessions with it, and the check that ends
// every test: nothing is held, and no report was overwritten before the computer read it.

#include <array>
#include <cstdint>
#include <memory>
#include <vector>

#include "core/link/memory_link.hpp"
#include "core/link/session.hpp"
#include "core/sim/sim_device.hpp"
#include "tests/wire/support/images.hpp"

namespace fettle::test {

using Eeprom = std::array<std::uint8_t, wire::k_eeprom_bytes>;
using Way = link::MemoryLink::Way;

/// What a storage holds in which plain_image(1) was kept by a whole conversation, once a program.
const Eeprom& kept_eeprom();
std::uint32_t kept_crc();

/// Powered, with kept_eeprom(), and ready.
std::shared_ptr<sim::SimDevice> kept_device();
std::unique_ptr<link::Session> open_session(const std::shared_ptr<sim::SimDevice>& device, Way way);

/// The CRC of the image to which a board with this storage starts; 0: the built-in one or none.
std::uint32_t boots_to(const Eeprom& eeprom);
std::uint32_t runs(const sim::SimDevice& device);

/// Lets a second pass and checks that nothing is held, in the engine and for the computer.
void check_ends_released(sim::SimDevice& device);

}  // namespace fettle::test
