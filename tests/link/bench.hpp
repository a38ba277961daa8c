#pragma once
// A device whose other end the test holds, and the way to open a link to it. The session tests run against
// every row of benches(): in memory on every machine (benches_memory.cpp), over a real kernel in the rig.

#include <cstdint>
#include <functional>
#include <memory>
#include <span>

#include "core/link/link.hpp"
#include "core/sim/sim_device.hpp"

namespace fettle::test {

class Bench {
public:
    virtual ~Bench() = default;
    /// A fresh link to the device, which must be plugged in.
    virtual std::unique_ptr<link::Link> open() = 0;
    /// Runs `look` on the device while its time stands still: the only way to touch it.
    virtual void with(const std::function<void(sim::SimDevice&)>& look) = 0;
    /// Lets the device's time pass without anybody listening.
    virtual void pass_ms(std::uint32_t ms) = 0;
    /// As sim::SimDevice has them; over a real kernel they return when its nodes are gone, or are there.
    virtual void pull_cable() = 0;
    virtual void plug_cable() = 0;
};

struct BenchRow {
    const char* name;
    /// Powered, with kept_eeprom() (tests/sim/rig.hpp), and ready.
    std::unique_ptr<Bench> (*make)();
};
std::span<const BenchRow> benches();

/// Lets half a second pass and checks that nothing is held, in the engine and for the computer.
void check_ends_released(Bench& bench);

}  // namespace fettle::test
