// Telemetry over long times, without any loss, and two listeners: on the simulated clock only.

#include <doctest/doctest.h>

#include <map>

#include "tests/sim/rig.hpp"

using namespace fettle;
using namespace fettle::test;
using engine::EventKind;
using link::TimedEvent;

namespace {

constexpr Way k_ways[] = {Way::hid, Way::serial};

}  // namespace

TEST_CASE(
    "telemetry: 75 minutes of heartbeats and presses: whole time to a second, no loss, past the wrap at "
    "71.6") {
    for (const Way way : k_ways) {
        auto device = kept_device();
        auto session = open_session(device, way);
        std::int64_t first = -1, last = 0;
        bool is_in_order = true;
        REQUIRE(session
                    ->subscribe(false, false,
                                [&](const TimedEvent& e) {
                                    if (first < 0) first = e.at_us;
                                    is_in_order = is_in_order && e.at_us >= last - 10000;
                                    last = e.at_us;
                                })
                    .has_value());
        for (unsigned minute = 0; minute < 75; ++minute) {
            device->hands().press_switch(1, device->now_us() + 1000, 100);
            REQUIRE(session->listen(60000).has_value());
        }
        CHECK(is_in_order);
        CHECK(last - first >= (75 * 60 - 1) * 1000000ll);
        CHECK(last - first <= 75 * 60 * 1000000ll + 10000);
        CHECK(session->telemetry().batches > 75 * 50);
        CHECK(session->telemetry().batches_lost == 0);
        CHECK(session->telemetry().events_lost == 0);
        CHECK(session->telemetry().boots == 0);
        check_ends_released(*device);
    }
}

TEST_CASE(
    "telemetry: ten minutes with 8 presses a second, edges too: not one event is lost on the in-memory "
    "link") {
    for (const Way way : k_ways) {
        auto device = kept_device();
        auto session = open_session(device, way);
        std::map<EventKind, std::uint32_t> counts;
        REQUIRE(
            session->subscribe(true, true, [&](const TimedEvent& e) { ++counts[e.event.kind]; }).has_value());
        constexpr std::uint32_t k_seconds = 600;
        device->hands().set_contact({2000, 2});
        for (unsigned second = 0; second < k_seconds; ++second) {
            for (unsigned i = 0; i < 8; ++i)
                device->hands().press_switch(static_cast<std::uint8_t>(1 + i % 2),
                                             device->now_us() + 2000 + 125000u * i, 60);
            REQUIRE(session->listen(1000).has_value());
        }
        REQUIRE(session->listen(2000).has_value());
        const auto& t = session->telemetry();
        CHECK(t.batches_lost == 0);
        CHECK(t.events_lost == 0);
        CHECK(t.garbled == 0);
        CHECK(t.repeated == 0);
        CHECK(device->hid_dropped() == 0);
        CHECK(device->device().info().telemetry_lost == 0);
        // Each press is two changes with two bounces each: 5 edges a change.
        CHECK(counts[EventKind::edge] == k_seconds * 8 * 10);
        MESSAGE(t.events << " events in " << t.batches << " batches");
        check_ends_released(*device);
    }
}

TEST_CASE(
    "telemetry: ten minutes at the full rate, a report nearly every millisecond, each nearly full: nothing "
    "is "
    "lost") {
    auto device = kept_device();
    auto session = open_session(device, Way::hid);
    std::uint64_t edges = 0;
    REQUIRE(session
                ->subscribe(false, true,
                            [&](const TimedEvent& e) { edges += e.event.kind == EventKind::edge ? 1u : 0u; })
                .has_value());
    REQUIRE(session->listen(100).has_value());
    const auto batches_before = session->telemetry().batches;
    constexpr std::uint32_t k_minutes = 10, k_ms_a_minute = 60000, k_edges_a_ms = 10;
    bool is_high = false;
    for (std::uint32_t ms = 0; ms < k_minutes * k_ms_a_minute; ++ms) {
        // On a line that no input of the profile is wired to: edges alone fill the reports.
        for (std::uint32_t i = 0; i < k_edges_a_ms; ++i) {
            device->hands().inject(8, device->now_us() + 50 + 90u * i, is_high);
            is_high = !is_high;
        }
        if (!session->listen(1)) FAIL("closed");
    }
    REQUIRE(session->listen(100).has_value());
    const auto& t = session->telemetry();
    MESSAGE((t.batches - batches_before) << " reports");
    CHECK(edges == k_minutes * k_ms_a_minute * k_edges_a_ms);
    CHECK(t.batches - batches_before >= k_minutes * k_ms_a_minute * 9 / 10);
    CHECK(t.batches_lost == 0);
    CHECK(t.events_lost == 0);
    CHECK(device->hid_dropped() == 0);
    CHECK(device->device().info().telemetry_lost == 0);
    check_ends_released(*device);
}

TEST_CASE("telemetry: remote trains with edges, 10 presses of 300 ms: none lost") {
    for (const Way way : k_ways) {
        auto device = kept_device();
        auto session = open_session(device, way);
        std::uint32_t edges = 0, frames = 0;
        REQUIRE(session
                    ->subscribe(true, true,
                                [&](const TimedEvent& e) {
                                    edges += e.event.kind == EventKind::edge ? 1 : 0;
                                    frames += e.event.kind == EventKind::ir_frame ? 1 : 0;
                                })
                    .has_value());
        for (unsigned i = 0; i < 10; ++i)
            device->hands().press_remote(engine::make_ir_frame(engine::Protocol::nec, 4, 8),
                                         device->now_us() + 1000 + 600000u * i, 300);
        REQUIRE(session->listen(7000).has_value());
        CHECK(frames == 30);
        CHECK(edges == 10 * (68 + 4 + 4));
        CHECK(session->telemetry().events_lost == 0);
        CHECK(session->telemetry().batches_lost == 0);
        check_ends_released(*device);
    }
}

TEST_CASE("telemetry: two sessions, one over each channel: the newer one has it, the other counts no loss") {
    auto device = kept_device();
    auto first = open_session(device, Way::hid);
    auto second = open_session(device, Way::serial);
    REQUIRE(first->subscribe(false, false, {}).has_value());
    REQUIRE(first->listen(3000).has_value());
    REQUIRE(second->subscribe(false, false, {}).has_value());
    REQUIRE(second->listen(3000).has_value());
    CHECK(second->telemetry().batches >= 2);
    CHECK(second->telemetry().batches_lost == 0);
    const auto before = first->telemetry().batches;
    REQUIRE(first->listen(3000).has_value());
    CHECK(first->telemetry().batches <= before + 1);
    CHECK(first->telemetry().batches_lost == 0);
    check_ends_released(*device);
}
