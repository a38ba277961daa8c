// A device with two channels: the first one dies in the middle of anything, and the window learns of it by
// its health only.

#include <doctest/doctest.h>

#include "app/desk/station_state.hpp"
#include "tests/desk/paired_source.hpp"

using namespace fettle;
using namespace fettle::app;
using namespace fettle::app::test;
using fettle::test::boots_to;
using fettle::test::crc_of;
using fettle::test::Harm;
using fettle::test::kept_crc;
using fettle::test::plain_image;
using fettle::test::Plan;

namespace {

struct Death {
    const char* name;
    Plan plan;
};
/// blocked: 5 s in one write; silence and garbage: for ever, telemetry too.
const Death k_deaths[] = {{"closed", {Harm::close, 1, false, true}},
                          {"an error of the system", {Harm::io, 1, false, true}},
                          {"writes that block", {Harm::blocked, 1, false, true}},
                          {"silence", {Harm::drop, 1, true, true}},
                          {"garbage", {Harm::garbage, 1, true, true}}};

}  // namespace

TEST_CASE(
    "station channels: the first channel dies while live, in 5 ways: live over the serial one, nothing "
    "opened "
    "again") {
    for (const Death& death : k_deaths) {
        CAPTURE(std::string(death.name));
        PairedRig rig;
        REQUIRE_FALSE(rig.answer(ask::Connect{}).error.has_value());
        CHECK(rig.now.health.channel == link::ChannelKind::hid);
        CHECK(rig.now.health.changeovers == 0);
        rig.run_ms(2500);
        CHECK_FALSE(rig.now.is_simulated);
        rig.source.first->set_plan(death.plan);
        rig.run_ms(8000);
        CHECK(rig.now.state == LinkState::live);
        CHECK(rig.now.health.channel == link::ChannelKind::serial);
        CHECK(rig.now.health.changeovers == 1);
        CHECK(rig.now.health.reconnects == 0);
        CHECK(rig.source.opened.size() == 1);
        CHECK_FALSE(rig.now.last_error.has_value());
        const auto heard = rig.heard.size();
        rig.run_ms(2000);
        CHECK(rig.heard.size() > heard);
        // What was lost is said where it is missing: the batches, and the cut itself.
        std::uint32_t gaps = 0;
        for (const auto& one : rig.heard) gaps += one.gap_before;
        CHECK(gaps >= rig.now.health.telemetry.cuts);
        CHECK(rig.now.health.telemetry.cuts == 1);
        rig.station.stop();
        fettle::test::check_ends_released(*rig.device);
    }
}

TEST_CASE("station channels: the first channel dies at each message of a push, in 5 ways: pushed, kept") {
    for (const Death& death : k_deaths)
        for (int at = 1; at <= 14; ++at) {
            CAPTURE(std::string(death.name));
            CAPTURE(at);
            PairedRig rig;
            REQUIRE_FALSE(rig.answer(ask::Connect{}).error.has_value());
            Plan plan = death.plan;
            plan.at = at;
            rig.source.first->set_plan(plan);
            const Told pushed = rig.answer(ask::Push{plain_image(2), 60});
            CHECK_FALSE(pushed.error.has_value());
            const Told kept = rig.answer(ask::Keep{true});
            CHECK_FALSE(kept.error.has_value());
            rig.run_ms(2000);
            CHECK(rig.now.state == LinkState::live);
            CHECK(rig.now.hello->image_crc == crc_of(plain_image(2)));
            CHECK(rig.source.opened.size() == 1);
            rig.station.stop();
            fettle::test::check_ends_released(*rig.device);
            CHECK(boots_to(rig.device->eeprom().bytes()) == crc_of(plain_image(2)));
        }
}

TEST_CASE("station channels: a release past a push is answered though its channel dies with it") {
    for (const Harm harm : {Harm::close, Harm::io}) {
        PairedRig rig;
        REQUIRE_FALSE(rig.answer(ask::Connect{}).error.has_value());
        const auto push = rig.station.ask(ask::Push{plain_image(2), 60});
        std::uint32_t release = 0;
        rig.station.on_news([&] {
            DeviceNow seen;
            if (!rig.station.fetch(seen) || seen.work.done < 100 || release != 0) return;
            release = rig.station.ask(ask::Release{});
            rig.source.first->set_plan({harm, 2, false, true});
        });
        REQUIRE(
            rig.run_until([&] { return rig.told(push) != nullptr && rig.told(release) != nullptr; }, 10000));
        rig.station.on_news({});
        CHECK_FALSE(rig.told(push)->error.has_value());
        CHECK_FALSE(rig.told(release)->error.has_value());
        CHECK(rig.now.health.changeovers == 1);
        rig.station.stop();
        fettle::test::check_ends_released(*rig.device);
    }
}

TEST_CASE("station channels: a release that was never answered is not sent again minutes later, elsewhere") {
    PairedRig rig;
    REQUIRE_FALSE(rig.answer(ask::Connect{}).error.has_value());
    const auto push = rig.station.ask(ask::Push{plain_image(2), 600});
    std::uint32_t release = 0;
    rig.station.on_news([&] {
        DeviceNow seen;
        if (!rig.station.fetch(seen) || seen.work.done < 100 || release != 0) return;
        release = rig.station.ask(ask::Release{});
        rig.source.first->set_plan({Harm::drop, 2, false, false});
    });
    REQUIRE(rig.run_until([&] { return rig.told(push) != nullptr && rig.told(release) != nullptr; }, 10000));
    rig.station.on_news({});
    REQUIRE_FALSE(rig.told(push)->error.has_value());
    REQUIRE(rig.told(release)->error.has_value());
    CHECK(rig.told(release)->error->code == Errc::timed_out);
    rig.run_ms(5000);
    rig.device->hands().close_switch(1, rig.device->now_us() + 1000);
    rig.run_ms(500);
    REQUIRE(rig.device->host().view().buttons == 1);
    rig.source.first->set_plan({Harm::close, 1, false, true});
    rig.run_ms(3000);
    CHECK(rig.now.health.changeovers == 1);
    CHECK(rig.device->host().view().buttons == 1);
    rig.device->hands().open_switch(1, rig.device->now_us() + 1000);
    rig.run_ms(500);
    rig.station.stop();
    fettle::test::check_ends_released(*rig.device);
}

TEST_CASE("station channels: the cable out closes both; back in, the first channel is used again") {
    PairedRig rig;
    REQUIRE_FALSE(rig.answer(ask::Connect{}).error.has_value());
    rig.source.first->set_plan({Harm::close, 1, false, false});
    rig.run_ms(3000);
    CHECK(rig.now.health.channel == link::ChannelKind::serial);
    rig.device->pull_cable();
    CHECK(rig.run_to(LinkState::absent, 1000));
    CHECK(rig.now.last_error->code == Errc::closed);
    rig.run_ms(500);
    rig.device->plug_cable();
    CHECK(rig.run_to(LinkState::live, 1000));
    CHECK(rig.now.health.channel == link::ChannelKind::hid);
    CHECK(rig.now.health.changeovers == 0);
    CHECK(rig.now.health.reconnects == 1);
    rig.station.stop();
    fettle::test::check_ends_released(*rig.device);
}

TEST_CASE("station channels: closing a device that is silent does not try its other channel") {
    PairedRig rig;
    REQUIRE_FALSE(rig.answer(ask::Connect{}).error.has_value());
    rig.run_ms(300);
    rig.source.first->set_plan({Harm::drop, 1, true, true});
    const auto began = rig.clock.ms();
    CHECK_FALSE(rig.answer(ask::Disconnect{}).error.has_value());
    CHECK(rig.clock.ms() - began <= 1200);
    CHECK(rig.now.health.changeovers == 0);
    rig.station.stop();
    fettle::test::check_ends_released(*rig.device);
}

TEST_CASE(
    "station health: the clock's error after a ping, its drift after a minute, both gone with the session") {
    PairedRig rig;
    REQUIRE_FALSE(rig.answer(ask::Connect{}).error.has_value());
    rig.run_ms(1500);
    REQUIRE(rig.now.health.clock_error_us.has_value());
    CHECK(*rig.now.health.clock_error_us <= 2000);
    rig.run_ms(60000);
    REQUIRE(rig.now.health.drift_ppm.has_value());
    CHECK(*rig.now.health.drift_ppm <= 100);  // one clock here
    CHECK(*rig.now.health.drift_ppm >= -100);
    rig.device->cut_power();
    CHECK(rig.run_until([&] { return rig.now.health.reconnects == 1; }, 2000));
    CHECK_FALSE(rig.now.health.drift_ppm.has_value());
    rig.station.stop();
    fettle::test::check_ends_released(*rig.device);
}
