#include "core/sim/eeprom.hpp"

#include <algorithm>

namespace fettle::sim {

namespace {
constexpr std::uint32_t k_write_us = 3400;

/// A value that is neither of these and not erased.
std::uint8_t other_than(std::uint8_t old_byte, std::uint8_t new_byte) {
    std::uint8_t byte = 0x5A;
    while (byte == old_byte || byte == new_byte) ++byte;
    return byte;
}
}  // namespace

EepromModel::EepromModel() {
    bytes_.fill(0xFF);
}

void EepromModel::set_bytes(const std::array<std::uint8_t, wire::k_eeprom_bytes>& bytes) {
    bytes_ = bytes;
    busy_us_ = 0;
    is_unsettled_ = false;
}

wire::Eeprom EepromModel::door() {
    return wire::Eeprom{this, &read, &write, &is_busy};
}

void EepromModel::advance_us(std::uint32_t us) {
    if (busy_us_ == 0) return;
    if (busy_us_ > us) {
        busy_us_ -= us;
        return;
    }
    busy_us_ = 0;
    bytes_[under_way_.at] = under_way_.byte;
}

void EepromModel::cut_power(Torn torn) {
    if (busy_us_ == 0) return;
    busy_us_ = 0;
    std::uint8_t& cell = bytes_[under_way_.at];
    switch (torn) {
        case Torn::old_value: return;
        case Torn::new_value: cell = under_way_.byte; return;
        case Torn::erased: cell = 0xFF; return;
        case Torn::garbage: cell = other_than(cell, under_way_.byte); return;
        case Torn::unsettled: is_unsettled_ = true; return;
    }
}

bool EepromModel::read(void* owner, std::uint16_t at, std::uint8_t* to, std::uint8_t count) {
    auto& self = *static_cast<EepromModel*>(owner);
    if (self.busy_us_ != 0 || at + count > wire::k_eeprom_bytes) return false;
    std::copy_n(self.bytes_.begin() + at, count, to);
    const std::uint16_t torn = self.under_way_.at;
    if (self.is_unsettled_ && torn >= at && torn < at + count && ++self.reads_ % 2 == 0)
        to[torn - at] = self.under_way_.byte;
    return true;
}

bool EepromModel::write(void* owner, std::uint16_t at, std::uint8_t byte) {
    auto& self = *static_cast<EepromModel*>(owner);
    if (self.busy_us_ != 0 || at >= wire::k_eeprom_bytes) return false;
    self.is_unsettled_ = false;  // one torn cell is remembered: another write settles it as its old value
    self.under_way_ = {at, byte};
    self.busy_us_ = k_write_us;
    ++self.wear_[at];
    ++self.writes_;
    if (self.keeps_log_) self.log_.push_back(self.under_way_);
    return true;
}

bool EepromModel::is_busy(void* owner) {
    return static_cast<EepromModel*>(owner)->busy_us_ != 0;
}

}  // namespace fettle::sim
