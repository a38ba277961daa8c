#pragma once
// What happened to a simulated device since it was powered, so that it can be brought to the same state
// again: it is deterministic, and the same reports and the same hands at the same ticks give the same device.
// With it the simulated device stays "plugged in" between two runs of a program. Not written down: the serial
// channel, cables, the computer's sleep, its lamps, and what the hands were still going to do.
//
// It does not grow for ever. At the end of a run (should_start_anew) it gives way to a new one that begins
// with the EEPROM as it is, as if the device had lost its power and got it back:
// - after 10 minutes or 2,000 entries, if the device is at rest: nothing on trial, nothing to be written,
// nothing
//   held, the first mode, the profile as it stands, hands still. What changes then: health counts begin anew,
//   the count of starts is one higher, the last trial is not known by its id any more;
// - after an hour or 50,000 entries, if nothing is on trial and nothing is to be written: mode, variant,
// latches
//   and drags end too;
// - beyond a day or 200,000 entries to_bytes() writes the new one in any case: a trial reverts, as it does
// when
//   power is lost.

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
    using Bytes = std::array<std::uint8_t, wire::k_eeprom_bytes>;
    Bytes eeprom{};      ///< as it was when power came
    Bytes eeprom_now{};  ///< as it was at now_us: what is left when the rest cannot be replayed
    SimOptions options;
    std::uint16_t engine_build = engine::k_engine_build;
    std::uint64_t now_us = 0;  ///< device time up to which the journal goes, whole ms
    enum class Kind : std::uint8_t { report, edge, axis };
    struct Entry {
        std::uint64_t at_us = 0;  ///< the device's time then, whole ms; never before the entry before
        Kind kind = Kind::report;
        std::vector<std::uint8_t> report;  ///< report: one raw HID report, up to 255 bytes
        Hands::Note note;                  ///< edge, axis
        bool operator==(const Entry&) const = default;
    };
    std::vector<Entry> entries;
    bool operator==(const Journal&) const = default;
};

/// A device that is powered now, with an erased EEPROM or the one given.
Journal new_journal(const SimOptions& options, const EepromModel* eeprom = nullptr);

/// The same device without power for a moment: a new journal that begins with `eeprom_now`.
Journal power_cycled(const Journal& journal);

/// The device that the journal leads to, and it goes on recording into `journal`, which must outlive it or
/// stop_recording(). Errors: version (another engine build wrote it; power_cycled() goes on with its EEPROM).
Result<std::unique_ptr<SimDevice>> replay(Journal& journal);

/// Brings `journal` up to this moment of its device.
void note_end(Journal& journal, const SimDevice& device);
void stop_recording(SimDevice& device);

/// The rule above, to be asked after note_end().
bool should_start_anew(const Journal& journal, const SimDevice& device);

/// Bytes for a file and back. Errors: garbled (no journal, cut short, more than a journal, CRC-32 differs,
/// times out of order), too_large. One of another engine build is read: replay() refuses it.
std::string to_bytes(const Journal& journal);
Result<Journal> from_bytes(const std::string& bytes);

}  // namespace fettle::sim
