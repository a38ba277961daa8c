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

TEST_CASE("station: keep is refused without proof, kept by a helper; hello and health are asked anew") {
    Rig rig;
    rig.go_live();
    const auto pushed = rig.answer(ask::Push{plain_image(2), 60});
    REQUIRE_FALSE(pushed.error.has_value());
    const auto refused = rig.answer(ask::Keep{false});
    REQUIRE(refused.error.has_value());
    CHECK(refused.error->code == Errc::unproven);
    CHECK(refused.is_old_profile_safe);
    CHECK(rig.now.state == LinkState::live);
    const auto kept = rig.answer(ask::Keep{true});
    REQUIRE_FALSE(kept.error.has_value());
    CHECK(kept.trial->phase == wire::TrialPhase::kept);
    CHECK(kept.trial->id == pushed.trial->id);
    rig.run_ms(100);
    CHECK(rig.now.trial.phase == wire::TrialPhase::kept);
    CHECK(rig.now.hello->image_crc == fettle::test::crc_of(plain_image(2)));
    CHECK_FALSE(rig.now.last_error.has_value());
    rig.check_ends_released();
    CHECK(fettle::test::boots_to(rig.device->eeprom().bytes()) == fettle::test::crc_of(plain_image(2)));
}

TEST_CASE(
    "station: extended by 200 s, then reverted: the old profile runs; without a trial all three: not_found") {
    Rig rig;
    rig.go_live();
    for (const Ask& what : {Ask(ask::Keep{true}), Ask(ask::Revert{}), Ask(ask::Extend{60})}) {
        const auto told = rig.answer(what);
        REQUIRE(told.error.has_value());
        CHECK(told.error->code == Errc::not_found);
    }
    REQUIRE_FALSE(rig.answer(ask::Push{plain_image(2), 20}).error.has_value());
    const auto extended = rig.answer(ask::Extend{200});
    REQUIRE_FALSE(extended.error.has_value());
    CHECK(extended.trial->seconds_left >= 199);
    rig.run_ms(30000);
    CHECK(runs(*rig.device) != kept_crc());
    const auto reverted = rig.answer(ask::Revert{});
    REQUIRE_FALSE(reverted.error.has_value());
    CHECK(reverted.trial->phase == wire::TrialPhase::reverted);
    rig.run_ms(100);
    CHECK(rig.now.hello->image_crc == kept_crc());
    rig.check_ends_released();
}

TEST_CASE("station: a trial of 20 s that nobody ends is seen to have expired, the old profile named again") {
    Rig rig;
    rig.go_live();
    REQUIRE_FALSE(rig.answer(ask::Push{plain_image(2), 20}).error.has_value());
    rig.run_ms(21500);
    CHECK(rig.now.trial.phase == wire::TrialPhase::expired);
    CHECK(rig.now.hello->image_crc == kept_crc());
    rig.check_ends_released();
}

TEST_CASE("station: a trial ends though the window was disconnected all the while") {
    Rig rig;
    rig.go_live();
    REQUIRE_FALSE(rig.answer(ask::Push{plain_image(2), 20}).error.has_value());
    REQUIRE_FALSE(rig.answer(ask::Disconnect{}).error.has_value());
    rig.run_ms(21500);
    CHECK(rig.now.state == LinkState::absent);
    CHECK(runs(*rig.device) == kept_crc());
    CHECK(rig.source.cable->opened == 1);
    rig.check_ends_released();
}

TEST_CASE("station: release in the middle of a push is answered before it, and the push goes on to its end") {
    Rig rig;
    rig.go_live();
    const auto push = rig.station.ask(ask::Push{plain_image(2), 60});
    const auto mode = rig.station.ask(ask::SetMode{0});
    std::uint32_t release = 0;
    // The hands hold a button while it is pushed: what they hold is let go of at once.
    rig.device->hands().close_switch(1, rig.device->now_us());
    rig.device->advance_ms(50);
    CHECK(rig.device->host().view().buttons == 1);
    rig.station.on_news([&] {
        DeviceNow seen;
        if (rig.station.fetch(seen) && seen.work.done > 100 && release == 0)
            release = rig.station.ask(ask::Release{});
    });
    rig.run_until([&] { return rig.told(mode) != nullptr; }, 30000);
    REQUIRE(rig.tolds.size() == 4);  // of connect, too
    CHECK(rig.tolds[1].ticket == release);
    CHECK(rig.tolds[2].ticket == push);
    CHECK(rig.tolds[3].ticket == mode);
    for (const auto& told : rig.tolds) CHECK_FALSE(told.error.has_value());
    CHECK(rig.device->host().view().buttons == 0);
    rig.device->hands().open_switch(1, rig.device->now_us());
    rig.check_ends_released();
}

TEST_CASE(
    "station: mode and variant as asked are heard as events; one that is not there is an error, not a loss") {
    Rig rig;
    rig.go_live();
    rig.run_ms(200);
    CHECK_FALSE(rig.answer(ask::SetMode{1}).error.has_value());
    CHECK_FALSE(rig.answer(ask::SetVariant{1}).error.has_value());
    rig.run_ms(100);
    int modes = 0, variants = 0;
    for (const auto& one : rig.heard) {
        modes += one.event.kind == EventKind::mode && one.event.data[0] == 1 ? 1 : 0;
        variants += one.event.kind == EventKind::variant && one.event.data[0] == 1 ? 1 : 0;
    }
    CHECK(modes >= 1);
    CHECK(variants >= 1);
    CHECK(rig.answer(ask::SetMode{40}).error->code == Errc::garbled);
    CHECK(rig.answer(ask::SetVariant{40}).error.has_value());
    rig.run_ms(2000);
    CHECK(rig.now.state == LinkState::live);
    CHECK(rig.source.cable->opened == 1);
    rig.check_ends_released();
}

TEST_CASE("station: a push cancelled half way is told so, cancel too; the old profile runs and is kept") {
    Rig rig;
    rig.go_live();
    std::uint32_t cancel = 0;
    const auto push = rig.station.ask(ask::Push{plain_image(2), 60});
    rig.station.on_news([&] {
        DeviceNow seen;
        if (rig.station.fetch(seen) && seen.work.done > 100 && cancel == 0)
            cancel = rig.station.ask(ask::Cancel{});
    });
    REQUIRE(rig.run_until([&] { return rig.told(push) != nullptr; }, 30000));
    CHECK(rig.told(push)->error->code == Errc::cancelled);
    CHECK(rig.told(push)->is_old_profile_safe);
    REQUIRE(rig.told(cancel) != nullptr);
    CHECK_FALSE(rig.told(cancel)->error.has_value());
    rig.run_ms(1000);
    CHECK(rig.now.work.kind == Work::Kind::none);
    CHECK(rig.now.state == LinkState::live);
    CHECK(runs(*rig.device) == kept_crc());
    CHECK_FALSE(rig.answer(ask::Push{plain_image(3), 60}).error.has_value());
    rig.check_ends_released();
    CHECK(fettle::test::boots_to(rig.device->eeprom().bytes()) == kept_crc());
}

TEST_CASE("station: a push of garbage, one too large: told at once, the link stays live") {
    Rig rig;
    rig.go_live();
    auto garbage = plain_image(2);
    garbage[20] ^= 1;
    CHECK(rig.answer(ask::Push{garbage, 60}).error->code == Errc::garbled);
    CHECK(rig.answer(ask::Push{std::vector<std::uint8_t>(5000), 60}).error->code == Errc::too_large);
    CHECK(rig.answer(ask::Push{{}, 60}).error->code == Errc::garbled);
    rig.run_ms(100);
    CHECK(rig.now.state == LinkState::live);
    CHECK(runs(*rig.device) == kept_crc());
    rig.check_ends_released();
}

namespace {

/// Keyboard reports since the last call: how many, and how many of them name a usage.
std::pair<int, int> reports(Rig& rig) {
    std::pair<int, int> counts;
    for (const auto& one : rig.heard) {
        if (one.event.kind != EventKind::report || one.event.data[0] != 0) continue;
        for (int i = 4; i < 10; ++i) {
            if (one.event.data[i] != 0) ++counts.first;
            if (one.event.data[i] != 0 && one.event.data[i] != 0xFF) ++counts.second;
        }
    }
    rig.heard.clear();
    return counts;
}

}  // namespace

TEST_CASE(
    "station: what is typed is covered until the person agrees, open from then on, covered when withdrawn") {
    Rig rig;
    rig.go_live();
    const profile::InputSource types = profile::Switch{4, true};  // plain_image: a text
    const auto press = [&] {
        rig.answer(ask::Hand{types, true, 100});
        rig.run_ms(3000);
        return reports(rig);
    };
    const auto before = press();
    CHECK(before.first > 0);
    CHECK(before.second == 0);
    CHECK_FALSE(rig.now.usages_agreed);
    CHECK_FALSE(rig.answer(ask::AgreeUsages{true}).error.has_value());
    const auto agreed = press();
    CHECK(rig.now.usages_agreed);
    CHECK(agreed.second == agreed.first);
    CHECK(agreed.second > 0);
    // Over a new session the agreement stands.
    rig.answer(ask::PowerCut{});
    REQUIRE(rig.run_until([&] { return rig.now.health.reconnects == 1; }, 5000));
    rig.run_ms(500);
    reports(rig);
    CHECK(press().second > 0);
    CHECK_FALSE(rig.answer(ask::AgreeUsages{false}).error.has_value());
    const auto withdrawn = press();
    CHECK(withdrawn.first > 0);
    CHECK(withdrawn.second == 0);
    rig.check_ends_released();
}

TEST_CASE(
    "station: 60 s of rest: at most two pings a second, the display every 2 s, health every 5 s, no trial") {
    Rig rig;
    rig.go_live();
    rig.run_ms(1000);
    const int before = rig.source.cable->messages;
    rig.run_ms(60000);
    const int requests = (rig.source.cable->messages - before) / 2;
    CHECK(requests >= 58 + 4 * 28 + 11);
    CHECK(requests <= 120 + 4 * 31 + 13);
    CHECK(rig.now.health.telemetry.batches_lost == 0);
    CHECK(rig.now.health.reconnects == 0);
    CHECK(rig.now.health.telemetry.batches >= 59);
    rig.check_ends_released();
}
