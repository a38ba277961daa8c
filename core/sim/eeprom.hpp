#pragma once
// The board's 1 KB EEPROM in memory: byte-wise writes that take time and can be cut anywhere, wear a cell.

#include <array>
#include <cstdint>
#include <vector>

#include "core/wire/device.hpp"

namespace fettle::sim {

/// What a byte holds whose write was cut by a power failure. garbage: neither old, new nor erased. unsettled:
/// it reads now as the old, now as the new value, until it is written again.
enum class Torn { old_value, new_value, erased, garbage, unsettled };

class EepromModel {
public:
    /// Erased: every byte 0xFF.
    EepromModel();

    /// Functions for wire::Device; valid as long as this object stays where it is.
    wire::Eeprom door();

    /// Lets time pass: a write that was under way is done 3.4 ms after it began (ATmega32U4 data sheet; from
    /// memory).
    void advance_us(std::uint32_t us);
    /// Power fails now: a write under way leaves its byte torn.
    void cut_power(Torn torn);

    const std::array<std::uint8_t, wire::k_eeprom_bytes>& bytes() const { return bytes_; }
    /// Other contents; a write under way is forgotten.
    void set_bytes(const std::array<std::uint8_t, wire::k_eeprom_bytes>& bytes);
    bool is_writing() const { return busy_us_ != 0; }
    /// Writes begun since construction, each cell.
    std::uint32_t wear(std::uint16_t at) const { return wear_.at(at); }
    std::uint32_t writes() const { return writes_; }

    struct Write {
        std::uint16_t at;
        std::uint8_t byte;
        bool operator==(const Write&) const = default;
    };
    /// Every write begun since construction, in order (bounded by the caller's patience: tests only).
    const std::vector<Write>& log() const { return log_; }
    void keep_log(bool on) { keeps_log_ = on; }

private:
    static bool read(void* owner, std::uint16_t at, std::uint8_t* to, std::uint8_t count);
    static bool write(void* owner, std::uint16_t at, std::uint8_t byte);
    static bool is_busy(void* owner);

    std::array<std::uint8_t, wire::k_eeprom_bytes> bytes_{};
    std::array<std::uint32_t, wire::k_eeprom_bytes> wear_{};
    std::vector<Write> log_;
    bool keeps_log_ = false;
    std::uint32_t writes_ = 0;
    std::uint32_t busy_us_ = 0;
    Write under_way_{0, 0};
    bool is_unsettled_ = false;  ///< the byte at under_way_ reads as one value or the other
    std::uint32_t reads_ = 0;
};

}  // namespace fettle::sim
