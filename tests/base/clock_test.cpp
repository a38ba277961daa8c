#include "core/base/clock.hpp"

#include <doctest/doctest.h>

namespace fettle {
namespace {

TEST_CASE("clock: the fake one stands still, and 1,500 µs move both of its times") {
    FakeClock clock(5000);
    CHECK(clock.monotonic_us() == 0);
    CHECK(clock.calendar_ms() == 5000);
    clock.advance_us(1500);
    CHECK(clock.monotonic_us() == 1500);
    CHECK(clock.calendar_ms() == 5001);
    clock.advance_ms(2);
    CHECK(clock.monotonic_us() == 3500);
    CHECK(clock.calendar_ms() == 5003);
}

TEST_CASE("clock: the system's never goes back in 10,000 readings and is later than 2025") {
    const SystemClock clock;
    int64_t last_us = clock.monotonic_us();
    bool went_back = false;
    for (int n = 0; n < 10000; ++n) {
        const int64_t now_us = clock.monotonic_us();
        went_back = went_back || now_us < last_us;
        last_us = now_us;
    }
    CHECK_FALSE(went_back);
    CHECK(clock.calendar_ms() > 1735689600000);  // 2025-01-01 00:00 UTC
}

}  // namespace
}  // namespace fettle
