#pragma once
// What happened to a simulated device since it was powered, so that it can be brought to the same state
// again: it is deterministic, and the same reports at the same ticks give the same device. With it the
// simulated device stays "plugged in" between two runs of a program.

#include <array>
#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/sim/sim_device.hpp"

namespace fettle::sim {

struct Journal {
    std::array<std::uint8_t, wire::k_eeprom_bytes> eeprom{};  ///< as it was when power came
    SimOptions options;
    std::uint16_t engine_build = engine::k_engine_build;
    std::uint64_t now_us = 0;  ///< device time up to which the journal goes
    struct Entry {
        std::uint64_t at_us = 0;
        std::vector<std::uint8_t> report;  ///< one raw HID report, 64 bytes
    };
    std::vector<Entry> entries;
};

/// A device that is powered now, with an erased EEPROM or the one given.
Journal new_journal(const SimOptions& options, const EepromModel* eeprom = nullptr);

/// The device that the journal leads to, and it goes on recording into `journal`, which must outlive it.
/// Errors: version (another engine build wrote it).
Result<std::unique_ptr<SimDevice>> replay(Journal& journal);

/// Bytes for a file and back. Errors: garbled (no journal, cut short, or CRC-32 differs), version, too_large.
std::string to_bytes(const Journal& journal);
Result<Journal> from_bytes(const std::string& bytes);

}  // namespace fettle::sim
