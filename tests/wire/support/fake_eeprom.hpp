#pragma once
// The board's storage for tests: bytes that take some ticks to write, a log of every write, and cells that
// can refuse to change.

#include <cstdint>
#include <set>
#include <vector>

#include "core/wire/slots.hpp"

namespace fettle::test {

struct Write {
    uint16_t at;
    uint8_t before, byte;
};

struct FakeEeprom {
    std::vector<uint8_t> cells = std::vector<uint8_t>(wire::k_eeprom_bytes, 0xFF);
    std::vector<Write> log;
    std::vector<uint32_t> wear = std::vector<uint32_t>(wire::k_eeprom_bytes, 0);
    std::set<uint16_t> dead;  ///< cells that keep what they have
    int write_ticks = 4;      ///< 3.4 ms a byte, asked for once a millisecond
    int busy_ticks = 0;
    bool is_deaf = false;  ///< never answers

    void tick() {
        if (busy_ticks > 0) --busy_ticks;
    }
    bool is_busy() const { return busy_ticks > 0 || is_deaf; }

    wire::Eeprom seam() {
        return wire::Eeprom{this,
                            [](void* owner, uint16_t at, uint8_t* to, uint8_t count) {
                                auto& self = *static_cast<FakeEeprom*>(owner);
                                if (self.is_busy()) return false;
                                for (uint8_t i = 0; i < count; ++i)
                                    to[i] = self.cells.at(static_cast<size_t>(at + i));
                                return true;
                            },
                            [](void* owner, uint16_t at, uint8_t byte) {
                                auto& self = *static_cast<FakeEeprom*>(owner);
                                if (self.is_busy()) return false;
                                self.log.push_back(Write{at, self.cells.at(at), byte});
                                ++self.wear[at];
                                if (self.dead.count(at) == 0) self.cells[at] = byte;
                                self.busy_ticks = self.write_ticks;
                                return true;
                            },
                            [](void* owner) { return static_cast<FakeEeprom*>(owner)->is_busy(); }};
    }
};

}  // namespace fettle::test
