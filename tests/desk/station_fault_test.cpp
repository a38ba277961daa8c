// Every fault in every state: the window is told within a second, the station comes back by itself, nothing
// is held.

#include <doctest/doctest.h>

#include "app/desk/station_state.hpp"
#include "tests/desk/station_rig.hpp"

using namespace fettle;
using namespace fettle::app;
using namespace fettle::app::test;

namespace {

bool is_seen_live(Rig& rig) {
    return seen_state(rig.now, rig.clock.ms()) == LinkState::live;
}

/// While telemetry still comes only a request shows that answers are of no use: one a second, three tries.
std::int64_t most_ms(Trouble trouble) {
    return trouble == Trouble::wrong_id ? 2000 : 1000;
}

/// Trouble begins now. The record says so in time; it ends; the station is live again, and so stays.
void suffer(Rig& rig, Trouble trouble) {
    rig.source.cable->trouble = trouble;
    const auto began = rig.clock.ms();
    // A request may hold the thread: what the window sees meanwhile counts, so it is woken as it is in
    // earnest.
    std::int64_t said_after = -1;
    rig.station.on_news([&] {
        rig.station.fetch(rig.now);
        if (said_after < 0 && !is_seen_live(rig)) said_after = rig.clock.ms() - began;
    });
    rig.run_until([&] { return said_after >= 0; }, 10000);
    rig.station.on_news({});
    CHECK(said_after >= 0);
    CHECK(said_after <= most_ms(trouble));
    rig.run_ms(6000);
    CHECK_FALSE(is_seen_live(rig));
    CHECK(rig.now.last_error.has_value());
    rig.source.cable->trouble = Trouble::none;
    CHECK(rig.run_to(LinkState::live, 3500));
    const auto heard = rig.heard.size();
    rig.run_ms(3000);
    CHECK(is_seen_live(rig));
    CHECK(rig.heard.size() > heard);
    CHECK_FALSE(rig.now.last_error.has_value());
}

}  // namespace

TEST_CASE("station faults: 7 faults while live, over HID and serial, are said within a second and survived") {
    for (const auto way : {link::MemoryLink::Way::hid, link::MemoryLink::Way::serial})
        for (const Trouble trouble : k_troubles) {
            CAPTURE(name_of(trouble));
            Rig rig;
            rig.source.way = way;
            rig.go_live();
            rig.run_ms(2500);
            const int opened = rig.source.cable->opened;
            suffer(rig, trouble);
            CHECK(rig.now.health.reconnects == 1);
            // Once a second at most, and not before the first was given up.
            CHECK(rig.source.cable->opened - opened <= 11);
            CHECK(rig.source.cable->opened - opened >= 1);
            rig.check_ends_released();
        }
}

TEST_CASE("station faults: 7 faults while greeting: connect is told an error, and it is live when they end") {
    for (const Trouble trouble : k_troubles) {
        CAPTURE(name_of(trouble));
        Rig rig;
        rig.source.cable->trouble = trouble;
        const Told told = rig.answer(ask::Connect{});
        REQUIRE(told.error.has_value());
        rig.run_ms(5000);
        CHECK(rig.now.state != LinkState::live);
        rig.source.cable->trouble = Trouble::none;
        CHECK(rig.run_to(LinkState::live, 3500));
        CHECK(rig.now.health.reconnects == 0);  // it never was before
        rig.check_ends_released();
    }
}

TEST_CASE("station faults: closed at each message of a greeting, it is greeted a second later") {
    for (int at = 1;; ++at) {
        CAPTURE(at);
        Rig rig;
        rig.source.cable->close_at = at;
        const auto ticket = rig.station.ask(ask::Connect{});
        rig.run_until([&] { return rig.told(ticket) != nullptr; }, 5000);
        REQUIRE(rig.told(ticket) != nullptr);
        if (!rig.told(ticket)->error) {
            CHECK(at == 9);  // hello, info, trial, subscribe: a request and an answer each
            break;
        }
        CHECK(rig.told(ticket)->error->code == Errc::closed);
        CHECK(rig.run_to(LinkState::live, 1200));
        CHECK(rig.source.cable->opened == 2);
        rig.check_ends_released();
    }
}

TEST_CASE(
    "station faults: opening refused for 10 s is tried once a second, said why, and live a second after") {
    Rig rig;
    rig.source.cable->trouble = Trouble::refuse;
    const Told told = rig.answer(ask::Connect{});
    REQUIRE(told.error.has_value());
    CHECK(told.error->code == Errc::denied);
    rig.run_ms(10000);
    CHECK(rig.now.state == LinkState::opening);
    CHECK(rig.now.last_error->code == Errc::denied);
    CHECK(rig.source.cable->opened >= 10);
    CHECK(rig.source.cable->opened <= 11);
    CHECK(rig.answer(ask::Release{}).error->code == Errc::closed);
    rig.source.cable->trouble = Trouble::none;
    CHECK(rig.run_to(LinkState::live, 1200));
    rig.check_ends_released();
}

TEST_CASE("station faults: every other request in 7 faults is told, within 20 s of the device's time") {
    const std::vector<Ask> asks = {ask::Revert{},         ask::Extend{},     ask::Release{},
                                   ask::SetMode{1},       ask::SetVariant{}, ask::ReadImage{},
                                   ask::AgreeUsages{true}};
    for (const Trouble trouble : k_troubles)
        for (const Ask& what : asks) {
            CAPTURE(name_of(trouble));
            CAPTURE(what.index());
            Rig rig;
            rig.go_live();
            rig.source.cable->trouble = trouble;
            const auto began = rig.clock.ms();
            const Told told = rig.answer(what);
            // Consent needs no link: it holds for the next one.
            CHECK((told.error.has_value() || std::holds_alternative<ask::AgreeUsages>(what)));
            CHECK(rig.clock.ms() - began <= 20000);
            rig.source.cable->trouble = Trouble::none;
            CHECK(rig.run_to(LinkState::live, 4000));
            rig.check_ends_released();
        }
}

TEST_CASE(
    "station faults: silence of 350 ms is nothing, of 1,300 ms is stale and over when it is heard again") {
    for (const std::uint64_t silence_ms : {350u, 1300u}) {
        CAPTURE(silence_ms);
        Rig rig;
        rig.go_live();
        rig.run_ms(2500);
        bool was_stale = false;
        rig.source.cable->trouble = Trouble::stall;
        rig.source.cable->ends_ms = rig.device->now_us() / 1000 + silence_ms;
        rig.station.on_news([&] {
            rig.station.fetch(rig.now);
            was_stale = was_stale || rig.now.state == LinkState::stale;
        });
        rig.run_ms(5000);
        CHECK(rig.source.cable->trouble == Trouble::none);
        CHECK(was_stale == (silence_ms > 900));
        CHECK(rig.now.state == LinkState::live);
        CHECK(rig.source.cable->opened == 1);
        CHECK(rig.now.health.reconnects == 0);
        // What was lost is said where it is missing.
        std::uint32_t gaps = 0;
        for (const auto& one : rig.heard) gaps += one.gap_before;
        CHECK(gaps == rig.now.health.telemetry.batches_lost);
        rig.check_ends_released();
    }
}

TEST_CASE(
    "station faults: the cable out and in, the power cut: live at once when it is back, a new start each "
    "time") {
    Rig rig;
    rig.go_live();
    rig.run_ms(2000);
    for (int i = 1; i <= 5; ++i) {
        CHECK_FALSE(rig.answer(ask::Cable{false}).error.has_value());
        rig.run_ms(300);
        CHECK(rig.now.state == LinkState::absent);
        CHECK(rig.now.found.empty());
        rig.run_ms(2000);
        CHECK_FALSE(rig.answer(ask::Cable{true}).error.has_value());
        CHECK(rig.run_to(LinkState::live, 300));
        CHECK(rig.now.health.reconnects == static_cast<std::uint32_t>(2 * i - 1));
        rig.run_ms(2000);
        CHECK_FALSE(rig.answer(ask::PowerCut{}).error.has_value());
        rig.run_ms(16);
        CHECK(rig.run_to(LinkState::live, 300));
        rig.run_ms(2000);
        CHECK(rig.now.health.reconnects == static_cast<std::uint32_t>(2 * i));
    }
    CHECK(rig.heard.back().start == 11);
    for (std::size_t i = 1; i < rig.heard.size(); ++i) {
        CHECK(rig.heard[i].start >= rig.heard[i - 1].start);
        if (rig.heard[i].start != rig.heard[i - 1].start) CHECK(rig.heard[i].at_us == 0);
    }
    rig.check_ends_released();
}

TEST_CASE("station faults: a device that somebody else subscribed to is heard again within 4 s") {
    Rig rig;
    rig.go_live();
    rig.run_ms(1500);
    auto thief = fettle::test::open_session(rig.device, link::MemoryLink::Way::serial);
    REQUIRE(thief->subscribe(false, false, [](const link::TimedEvent&) {}).has_value());
    rig.run_ms(500);
    const auto heard = rig.heard.size();
    rig.run_ms(4000);
    CHECK(rig.heard.size() > heard);
    CHECK(rig.now.state == LinkState::live);
    CHECK(rig.source.cable->opened == 1);
    thief.reset();
    rig.check_ends_released();
}

TEST_CASE(
    "station faults: babble of 60 s, 40 messages a millisecond, puts nothing of another device into the "
    "window") {
    Rig rig;
    rig.go_live();
    rig.run_ms(2000);
    const auto heard = rig.heard.size();
    rig.source.cable->trouble = Trouble::flood;
    rig.run_ms(60000);
    CHECK(rig.heard.size() == heard);
    rig.source.cable->trouble = Trouble::none;
    CHECK(rig.run_to(LinkState::live, 4000));
    rig.check_ends_released();
}

TEST_CASE("station faults: disconnect while it greets a silent device is answered within 50 ms of its time") {
    Rig rig;
    rig.source.cable->trouble = Trouble::stall;
    const auto connect = rig.station.ask(ask::Connect{});
    std::uint32_t disconnect = 0;
    std::int64_t asked = 0;
    rig.station.on_news([&] {
        if (disconnect != 0) return;
        rig.station.fetch(rig.now);
        if (rig.now.state != LinkState::greeting) return;
        disconnect = rig.station.ask(ask::Disconnect{});
        asked = rig.clock.ms();
    });
    rig.run_until([&] { return disconnect != 0 && rig.told(disconnect) != nullptr; }, 10000);
    REQUIRE(disconnect != 0);
    REQUIRE(rig.told(disconnect) != nullptr);
    CHECK_FALSE(rig.told(disconnect)->error.has_value());
    CHECK(rig.clock.ms() - asked <= 50);
    CHECK(rig.told(connect)->error->code == Errc::cancelled);
    rig.run_ms(3000);
    CHECK(rig.now.state == LinkState::absent);
    CHECK(rig.source.cable->opened == 1);
    rig.check_ends_released();
}

TEST_CASE(
    "station faults: 60 s of telemetry that is another start's: none of it reaches the window, which says "
    "so") {
    Rig rig;
    rig.go_live();
    rig.run_ms(2000);
    const auto heard = rig.heard.size();
    rig.source.cable->trouble = Trouble::foreign;
    rig.run_ms(1500);
    CHECK_FALSE(is_seen_live(rig));
    rig.run_ms(60000);
    CHECK(rig.heard.size() == heard);
    CHECK_FALSE(is_seen_live(rig));
    rig.source.cable->trouble = Trouble::none;
    CHECK(rig.run_to(LinkState::live, 4000));
    rig.check_ends_released();
}
