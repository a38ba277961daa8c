#include "tests/link/bench.hpp"

#include "tests/link/on_each_bench.hpp"

namespace fettle::test {

namespace {

constexpr std::uint32_t k_slice_ms = 20;
constexpr std::uint64_t k_limit_ms = 5000;

}  // namespace

void listen_device_ms(link::Session& session, Bench& bench, std::uint32_t ms) {
    const auto clock = [&] { return of_device(bench, [](auto& device) { return device.now_us(); }); };
    const std::uint64_t until_us = clock() + std::uint64_t{ms} * 1000;
    const std::uint64_t end_ms = session.link().now_ms() + k_limit_ms + ms;
    while (clock() < until_us) {
        REQUIRE(session.listen(k_slice_ms).has_value());
        REQUIRE(session.link().now_ms() < end_ms);
    }
}

bool comes_true(link::Session& session, const std::function<bool()>& is_so) {
    const std::uint64_t end_ms = session.link().now_ms() + k_limit_ms;
    while (!is_so()) {
        if (session.link().now_ms() >= end_ms) return false;
        REQUIRE(session.listen(k_slice_ms).has_value());
    }
    return true;
}

void check_ends_released(Bench& bench) {
    bool is_plugged = false;
    bench.with([&](sim::SimDevice& device) {
        device.set_suspended(false);
        device.host().set_reading(true);
        is_plugged = device.is_plugged();
    });
    if (!is_plugged) bench.plug_cable();
    bench.pass_ms(500);
    struct {
        bool for_computer = true, in_engine = true;
        std::uint32_t overwritten = 1;
    } left;
    bench.with([&](sim::SimDevice& device) {
        left.for_computer = device.host().view().holds_anything();
        left.in_engine = device.device().engine().holds_anything();
        left.overwritten = device.host().overwritten();
    });
    CHECK_FALSE(left.for_computer);
    CHECK_FALSE(left.in_engine);
    CHECK(left.overwritten == 0);
}

}  // namespace fettle::test
