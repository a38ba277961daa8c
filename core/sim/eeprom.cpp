#include "core/sim/eeprom.hpp"

#include <algorithm>

namespace fettle::sim {

namespace {
constexpr std::uint32_t k_write_us = 3400;
constexpr std::uint8_t k_garbage = 0x5A;  // any value that is neither the old byte nor erased
}  // namespace

EepromModel::EepromModel() {
    bytes_.fill(0xFF);
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
    switch (torn) {
        case Torn::old_value: return;
        case Torn::erased: bytes_[under_way_.at] = 0xFF; return;
        case Torn::garbage: bytes_[under_way_.at] ^= k_garbage; return;
    }
}

bool EepromModel::read(void* owner, std::uint16_t at, std::uint8_t* to, std::uint8_t count) {
    auto& self = *static_cast<EepromModel*>(owner);
    if (self.busy_us_ != 0 || at + count > wire::k_eeprom_bytes) return false;
    std::copy_n(self.bytes_.begin() + at, count, to);
    return true;
}

bool EepromModel::write(void* owner, std::uint16_t at, std::uint8_t byte) {
    auto& self = *static_cast<EepromModel*>(owner);
    if (self.busy_us_ != 0 || at >= wire::k_eeprom_bytes) return false;
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
