#pragma once
// One simulated device on both of its channels: HID, on which a test works its harm, and the serial one.

#include <memory>

#include "core/link/paired_link.hpp"
#include "tests/link/faulty_link.hpp"
#include "tests/sim/rig.hpp"

namespace fettle::test {

/// The ways in which a first channel dies.
struct Death {
    const char* name;
    Harm harm;
    bool for_ever;
};
inline constexpr Death k_deaths[] = {{"closed", Harm::close, false},
                                     {"an error of the system", Harm::io, false},
                                     {"writes that block", Harm::blocked, false},
                                     {"silence", Harm::drop, true},
                                     {"garbage", Harm::garbage, true}};

inline Plan plan_of(const Death& death, int at) {
    return {death.harm, at, death.for_ever, true};
}

/// A link that keeps what it is while the test looks at its first channel.
struct Pair {
    std::unique_ptr<link::Link> link;
    FaultyLink* first = nullptr;  ///< gone once the link goes on over the other one
};

inline Pair pair_of(const std::shared_ptr<sim::SimDevice>& device, const Plan& plan = {}) {
    auto first = std::make_unique<FaultyLink>(std::make_unique<link::MemoryLink>(device, Way::hid), plan);
    FaultyLink* const first_link = first.get();
    auto fallback = std::make_unique<link::MemoryLink>(device, Way::serial);
    return {std::make_unique<link::PairedLink>(std::move(first), std::move(fallback)), first_link};
}

}  // namespace fettle::test
