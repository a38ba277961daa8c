// Telemetry of a device as it is. The same tests over every link of one table.

#include <doctest/doctest.h>

#include "tests/link/on_each_bench.hpp"

using namespace fettle;
using namespace fettle::test;
using engine::EventKind;
using link::Session;
using link::TimedEvent;

namespace {

bool was_lossless(const link::TelemetryCounts& counts) {
    return counts.batches_lost == 0 && counts.events_lost == 0;
}

}  // namespace

TEST_CASE("telemetry: 8 presses in a second are heard in their order, with the time between them") {
    on_each_bench([](Session& session, Bench& bench) {
        std::vector<std::int64_t> presses_us;
        REQUIRE(session
                    .subscribe(false, true,
                               [&](const TimedEvent& e) {
                                   if (e.event.kind == EventKind::edge && e.event.data[1] == 1)
                                       presses_us.push_back(e.at_us);
                               })
                    .has_value());
        bench.with([](sim::SimDevice& device) {
            for (unsigned i = 0; i < 8; ++i)
                device.hands().press_switch(1, device.now_us() + 100000 + 125000u * i, 60);
        });
        listen_device_ms(session, bench, 1300);
        const auto& counts = session.telemetry();
        CHECK(counts.garbled == 0);
        CHECK(counts.repeated == 0);
        CHECK(counts.boots == 0);
        CHECK(counts.batches_lost == 0);
        CHECK(counts.events_lost == 0);
        REQUIRE(presses_us.size() == 8);
        for (std::size_t i = 1; i < presses_us.size(); ++i)  // telemetry's own step is 4 us
            CHECK(std::abs(presses_us[i] - presses_us[i - 1] - 125000) <= 4);
    });
}

TEST_CASE("telemetry: remote trains with edges, 3 presses of 300 ms: what is missing was counted as lost") {
    on_each_bench([](Session& session, Bench& bench) {
        std::uint32_t edges = 0, frames = 0;
        REQUIRE(session
                    .subscribe(true, true,
                               [&](const TimedEvent& e) {
                                   edges += e.event.kind == EventKind::edge ? 1 : 0;
                                   frames += e.event.kind == EventKind::ir_frame ? 1 : 0;
                               })
                    .has_value());
        bench.with([](sim::SimDevice& device) {
            for (unsigned i = 0; i < 3; ++i)
                device.hands().press_remote(engine::make_ir_frame(engine::Protocol::nec, 4, 8),
                                            device.now_us() + 1000 + 500000u * i, 300);
        });
        listen_device_ms(session, bench, 1800);
        CHECK(session.telemetry().garbled == 0);
        CHECK(frames <= 9);
        CHECK(edges <= 3 * (68 + 4 + 4));
        const bool is_whole = frames == 9 && edges == 3 * (68 + 4 + 4);
        CHECK((is_whole || !was_lossless(session.telemetry())));
    });
}

TEST_CASE("telemetry: unsubscribed, nothing is heard; subscribed again nothing counts as lost") {
    on_each_bench([](Session& session, Bench& bench) {
        int heard = 0;
        const auto count = [&](const TimedEvent&) { ++heard; };
        REQUIRE(session.subscribe(false, false, count).has_value());
        CHECK(comes_true(session, [&] { return heard > 0; }));
        REQUIRE(session.unsubscribe().has_value());
        const int before = heard;
        listen_device_ms(session, bench, 1500);
        CHECK(heard == before);
        REQUIRE(session.subscribe(false, false, count).has_value());
        CHECK(comes_true(session, [&] { return heard > before; }));
        CHECK(session.telemetry().batches_lost == 0);
    });
}
