// A station and a device that behaves: every Ask, what is polled, what is heard.

#include "app/desk/station.hpp"

#include <doctest/doctest.h>

#include "app/desk/station_state.hpp"
#include "tests/desk/station_rig.hpp"

using namespace fettle;
using namespace fettle::app;
using namespace fettle::app::test;
using engine::EventKind;
using fettle::test::kept_crc;
using fettle::test::plain_image;
using fettle::test::runs;

TEST_CASE("station: nobody asks for a connection, nothing is opened in 10 s, and what is attached is known") {
    Rig rig;
    rig.run_ms(10000);
    CHECK(rig.now.state == LinkState::absent);
    CHECK(rig.source.cable->opened == 0);
    CHECK(rig.now.found.size() == 1);
    CHECK(rig.tolds.empty());
    rig.check_ends_released();
}

TEST_CASE(
    "station: connect goes through opening and greeting to live; who it is, what it runs, its display") {
    Rig rig;
    std::vector<LinkState> seen;
    const auto ticket = rig.station.ask(ask::Connect{});
    for (int i = 0; i < 8; ++i) {
        rig.step();
        if (seen.empty() || seen.back() != rig.now.state) seen.push_back(rig.now.state);
    }
    CHECK(seen == std::vector{LinkState::opening, LinkState::greeting, LinkState::live});
    REQUIRE(rig.told(ticket) != nullptr);
    CHECK_FALSE(rig.told(ticket)->error.has_value());
    REQUIRE(rig.now.hello.has_value());
    CHECK(rig.now.hello->image_crc == kept_crc());
    CHECK(rig.now.info.has_value());
    CHECK(rig.now.is_simulated);
    CHECK(rig.now.attached->path == "sim");
    rig.run_ms(500);
    REQUIRE(rig.now.display.size() == 4);
    CHECK(rig.now.display[0].size() == 20);
    REQUIRE(rig.now.health.latency_ms.has_value());
    CHECK(*rig.now.health.latency_ms <= 1.5);
    CHECK_FALSE(rig.now.last_error.has_value());
    CHECK(rig.source.cable->opened == 1);
    rig.check_ends_released();
}

TEST_CASE(
    "station: a push is told with its trial, its progress is seen, the seconds left go down each second") {
    Rig rig;
    rig.go_live();
    const auto ticket = rig.station.ask(ask::Push{plain_image(2), 60});
    const Told told = [&] {
        while (rig.told(ticket) == nullptr) rig.step();
        return *rig.told(ticket);
    }();
    REQUIRE_FALSE(told.error.has_value());
    REQUIRE(told.trial.has_value());
    CHECK(told.trial->phase == wire::TrialPhase::running);
    rig.run_ms(100);
    CHECK(rig.now.trial.id == told.trial->id);
    CHECK(rig.now.hello->image_crc == fettle::test::crc_of(plain_image(2)));
    std::vector<int> lefts;
    for (int second = 0; second < 10; ++second) {
        rig.run_ms(1000);
        lefts.push_back(rig.now.trial.seconds_left);
        CHECK(rig.clock.ms() - rig.now.trial_seen_ms <= 1100);
    }
    for (std::size_t i = 1; i < lefts.size(); ++i) {
        CHECK(lefts[i] <= lefts[i - 1]);
        CHECK(lefts[i] >= lefts[i - 1] - 2);
    }
    CHECK(lefts.front() - lefts.back() >= 8);
    rig.check_ends_released();
}
