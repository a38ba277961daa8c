// keep, revert and extend when answers are lost. The same tests over every link of one table.

#include <doctest/doctest.h>

#include "tests/link/faulty_link.hpp"
#include "tests/link/on_each_bench.hpp"

using namespace fettle;
using namespace fettle::test;
using link::Session;
using wire::TrialPhase;

namespace {

/// A lost answer is asked for again soon: these tests may run in real time.
constexpr link::Limits k_quick{300, 500, 3, 3000};

struct OnTrial {
    Bench& bench;
    FaultyLink* link = nullptr;
    std::unique_ptr<Session> session;
    wire::TrialReply trial{};

    explicit OnTrial(Bench& on) : bench(on) {
        {
            auto pushing = Session::open(bench.open());
            REQUIRE(pushing.has_value());
            auto pushed = (*pushing)->push(plain_image(2), 30);
            REQUIRE(pushed.has_value());
            trial = pushed->trial;
        }
        auto made = std::make_unique<FaultyLink>(bench.open(), Plan{});
        link = made.get();
        auto opened = Session::open(std::move(made), k_quick);
        REQUIRE(opened.has_value());
        session = std::move(*opened);
    }
};

template <typename Test>
void on_trial(Test test) {
    for (const BenchRow& row : benches()) {
        CAPTURE(row.name);
        auto bench = row.make();
        {
            OnTrial rig(*bench);
            test(rig);
        }
        check_ends_released(*bench);
    }
}

}  // namespace

TEST_CASE(
    "keep: its answer lost, then asked again with the request lost: kept once, its cell written once more") {
    on_trial([](OnTrial& rig) {
        const auto wear = [&] {  // of the commit byte of slot 1
            return of_device(rig.bench, [](auto& device) { return device.eeprom().wear(3); });
        };
        const auto writes = wear();
        for (const int at : {2, 1}) {
            CAPTURE(at);
            rig.link->set_plan({Harm::drop, at, false});
            const auto kept = rig.session->keep(rig.trial.id, rig.trial.image_crc, true);
            REQUIRE(kept.has_value());
            CHECK(kept->phase == TrialPhase::kept);
        }
        CHECK(wear() <= writes + 1);
        CHECK(boots_to_on(rig.bench) == rig.trial.image_crc);
    });
}

TEST_CASE("revert: its answer lost, then asked again with the request lost: the kept profile runs") {
    on_trial([](OnTrial& rig) {
        for (const int at : {2, 1}) {
            CAPTURE(at);
            rig.link->set_plan({Harm::drop, at, false});
            const auto reverted = rig.session->revert(rig.trial.id, rig.trial.image_crc);
            REQUIRE(reverted.has_value());
            CHECK(reverted->phase == TrialPhase::reverted);
            CHECK(runs_on(rig.bench) == kept_crc());
        }
        CHECK(rig.session->keep(rig.trial.id, rig.trial.image_crc, true).error().code == Errc::not_found);
    });
}

TEST_CASE("extend: its request lost, then its answer: 200 s from now are not 400") {
    on_trial([](OnTrial& rig) {
        for (const int at : {1, 2}) {
            CAPTURE(at);
            rig.link->set_plan({Harm::drop, at, false});
            const auto extended = rig.session->extend(rig.trial.id, rig.trial.image_crc, 200);
            REQUIRE(extended.has_value());
            CHECK(extended->phase == TrialPhase::extended);
            CHECK(extended->seconds_left <= 200);
            CHECK(extended->seconds_left >= 180);
        }
        CHECK(runs_on(rig.bench) == rig.trial.image_crc);
    });
}

TEST_CASE("trial: another id or another image's CRC is no trial, and changes nothing") {
    on_trial([](OnTrial& rig) {
        auto& session = *rig.session;
        const auto id = rig.trial.id;
        const auto crc = rig.trial.image_crc;
        const auto other = static_cast<std::uint16_t>(id + 1);
        CHECK(session.keep(other, crc, true).error().code == Errc::not_found);
        CHECK(session.keep(id, crc + 1, true).error().code == Errc::not_found);
        CHECK(session.revert(other, crc).error().code == Errc::not_found);
        CHECK(session.extend(other, crc, 60).error().code == Errc::not_found);
        CHECK(session.trial()->phase == TrialPhase::running);
    });
}

TEST_CASE("trial: proven by a click, letting go and a mode there and back, it is kept without an override") {
    on_trial([](OnTrial& rig) {
        rig.bench.with([](sim::SimDevice& device) {
            auto at = device.now_us() + 100000;
            for (const std::uint8_t line : std::initializer_list<std::uint8_t>{1, 2, 3, 3}) {
                device.hands().press_switch(line, at, 80);
                at += 250000;
            }
        });
        listen_device_ms(*rig.session, rig.bench, 1500);
        const auto kept = rig.session->keep(rig.trial.id, rig.trial.image_crc, false);
        REQUIRE(kept.has_value());
        CHECK(kept->phase == TrialPhase::kept);
    });
}
