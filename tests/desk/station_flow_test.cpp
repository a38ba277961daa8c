// Much telemetry, for long: nothing lost, in order; and what is lost when nobody fetches is said.

#include <doctest/doctest.h>

#include "tests/desk/station_rig.hpp"

using namespace fettle;
using namespace fettle::app;
using namespace fettle::app::test;
using engine::EventKind;

namespace {

/// A device whose profile uses none of the lines 5 to 8: their edges are told and nothing else happens.
std::shared_ptr<sim::SimDevice> plain_device() {
    auto device = std::make_shared<sim::SimDevice>();
    device->advance_ms(300);
    return device;
}

/// An edge each ms from the next one on, in turn on lines 7 and 8. Gives what was planned.
class Edges {
public:
    void plan(sim::SimDevice& device, int count) {
        next_us_ = std::max(next_us_, device.now_us() + 1000);
        for (int i = 0; i < count; ++i, ++planned, next_us_ += 1000)
            device.hands().edge(line_of(planned), next_us_, level_of(planned));
    }
    static std::uint8_t line_of(std::uint64_t n) { return static_cast<std::uint8_t>(7 + n % 2); }
    static bool level_of(std::uint64_t n) { return n / 2 % 2 != 0; }
    std::uint64_t planned = 0;

private:
    std::uint64_t next_us_ = 0;
};

}  // namespace

TEST_CASE("station flow: 1,000 edges a second for 10 minutes, 600,000 of them: none lost, all in order") {
    for (const auto way : {link::MemoryLink::Way::hid, link::MemoryLink::Way::serial}) {
        Rig rig(plain_device());
        rig.source.way = way;
        rig.go_live();
        rig.run_ms(500);
        Edges edges;
        std::uint64_t heard = 0, gaps = 0, wrong = 0;
        std::int64_t last_us = 0;
        const auto take = [&] {
            for (const auto& one : rig.heard) {
                gaps += one.gap_before;
                if (one.event.kind != EventKind::edge) continue;
                const bool is_right = one.event.data[0] == Edges::line_of(heard) &&
                                      (one.event.data[1] != 0) == Edges::level_of(heard) &&
                                      (heard == 0 || one.at_us >= last_us);
                wrong += is_right ? 0 : 1;
                last_us = one.at_us;
                ++heard;
            }
            rig.heard.clear();
        };
        const auto end = rig.device->now_us() + 600'000'000;
        while (rig.device->now_us() < end) {
            if (rig.device->hands().is_quiet()) edges.plan(*rig.device, 40);
            rig.step();
            take();
        }
        rig.run_ms(100);
        take();
        CHECK(edges.planned > 590'000);
        CHECK(heard == edges.planned);
        CHECK(wrong == 0);
        CHECK(gaps == 0);
        CHECK(rig.now.health.telemetry.batches_lost == 0);
        CHECK(rig.now.health.telemetry.events_lost == 0);
        CHECK(rig.now.health.ring_lost == 0);
        CHECK(rig.now.health.reconnects == 0);
        rig.check_ends_released();
    }
}

TEST_CASE(
    "station flow: a window that fetches nothing for 80 s misses what did not fit, and the gap says how "
    "much") {
    Rig rig(plain_device());
    rig.go_live();
    rig.run_ms(500);
    rig.heard.clear();
    const auto before = rig.now.health.telemetry.events;
    Edges edges;
    const auto end = rig.device->now_us() + 80'000'000;
    while (rig.device->now_us() < end) {
        if (rig.device->hands().is_quiet()) edges.plan(*rig.device, 40);
        rig.station.step();
    }
    rig.station.fetch(rig.now);
    const auto lost = rig.now.health.ring_lost;
    CHECK(lost > 0);
    std::uint64_t kept = 0;
    while (auto one = rig.station.hear()) {
        CHECK(one->gap_before == 0);
        ++kept;
    }
    CHECK(kept == 65536);
    CHECK(kept + lost == rig.now.health.telemetry.events - before);
    rig.run_ms(3000);
    REQUIRE(!rig.heard.empty());
    CHECK(rig.heard.front().gap_before >= lost);
    CHECK(rig.heard.front().gap_before <=
          lost + 5);  // told of the moment of the record, a few more since then
    for (std::size_t i = 1; i < rig.heard.size(); ++i) CHECK(rig.heard[i].gap_before == 0);
    rig.check_ends_released();
}
