#pragma once
// A session with the device of a bench, and how a test waits when the device's time may be real: by the
// device's own clock, or until something is so. What is looked up in with() is checked outside of it: a bench
// may run it on another thread.

#include <doctest/doctest.h>

#include "core/link/session.hpp"
#include "tests/link/bench.hpp"
#include "tests/sim/rig.hpp"

namespace fettle::test {

/// What `look` says of the device.
template <typename Look>
auto of_device(Bench& bench, Look look) {
    decltype(look(std::declval<sim::SimDevice&>())) value{};
    bench.with([&](sim::SimDevice& device) { value = look(device); });
    return value;
}

inline std::uint32_t runs_on(Bench& bench) {
    return of_device(bench, [](auto& device) { return runs(device); });
}
inline std::uint32_t boots_to_on(Bench& bench) {
    return boots_to(of_device(bench, [](auto& device) { return device.eeprom().bytes(); }));
}
inline int mode_of(Bench& bench) {
    return of_device(bench, [](auto& device) { return int{device.device().engine().state().mode}; });
}

/// Listens until the device's clock has gone on so far.
void listen_device_ms(link::Session& session, Bench& bench, std::uint32_t ms);
/// Listens until it is so, 5 s of the link's clock at most.
bool comes_true(link::Session& session, const std::function<bool()>& is_so);

/// On every row: opens a session, runs `test(session, bench)`, and checks that nothing is held after.
template <typename Test>
void on_each_bench(Test test, link::Limits limits = {}) {
    for (const BenchRow& row : benches()) {
        CAPTURE(row.name);
        auto bench = row.make();
        {
            auto session = link::Session::open(bench->open(), limits);
            REQUIRE(session.has_value());
            test(**session, *bench);
        }
        check_ends_released(*bench);
    }
}

}  // namespace fettle::test
