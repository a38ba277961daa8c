// Trials that last, and each loss by itself: on the simulated clock only.

#include <doctest/doctest.h>

#include "tests/link/faulty_link.hpp"
#include "tests/sim/rig.hpp"

using namespace fettle;
using namespace fettle::test;
using link::Session;
using wire::TrialPhase;

namespace {

constexpr Way k_ways[] = {Way::hid, Way::serial};

struct OnTrial {
    std::shared_ptr<sim::SimDevice> device = kept_device();
    FaultyLink* link = nullptr;
    std::unique_ptr<Session> session;
    wire::TrialReply trial{};
    explicit OnTrial(Way way) {
        auto made = std::make_unique<FaultyLink>(std::make_unique<link::MemoryLink>(device, way), Plan{});
        link = made.get();
        auto opened = Session::open(std::move(made));
        REQUIRE(opened.has_value());
        session = std::move(*opened);
        auto pushed = session->push(plain_image(2), 30);
        REQUIRE(pushed.has_value());
        trial = pushed->trial;
    }
};

}  // namespace

TEST_CASE(
    "keep: its request or its answer lost, it is kept once, and the most written cell was written once "
    "more") {
    for (const Way way : k_ways)
        for (const int at : {1, 2}) {
            CAPTURE(at);
            OnTrial rig(way);
            const auto writes = rig.device->eeprom().wear(3);  // commit byte of slot 1
            rig.link->set_plan({Harm::drop, at, false});
            const auto kept = rig.session->keep(rig.trial.id, rig.trial.image_crc, true);
            REQUIRE(kept.has_value());
            CHECK(kept->phase == TrialPhase::kept);
            const auto again = rig.session->keep(rig.trial.id, rig.trial.image_crc, true);
            REQUIRE(again.has_value());
            CHECK(again->phase == TrialPhase::kept);
            CHECK(rig.device->eeprom().wear(3) <= writes + 1);
            CHECK(boots_to(rig.device->eeprom().bytes()) == rig.trial.image_crc);
            check_ends_released(*rig.device);
        }
}

TEST_CASE("revert: its request or its answer lost, and asked again, the kept profile runs") {
    for (const Way way : k_ways)
        for (const int at : {1, 2}) {
            OnTrial rig(way);
            rig.link->set_plan({Harm::drop, at, false});
            for (int i = 0; i < 2; ++i) {
                const auto reverted = rig.session->revert(rig.trial.id, rig.trial.image_crc);
                REQUIRE(reverted.has_value());
                CHECK(reverted->phase == TrialPhase::reverted);
                CHECK(runs(*rig.device) == kept_crc());
            }
            CHECK(rig.session->keep(rig.trial.id, rig.trial.image_crc, true).error().code == Errc::not_found);
            check_ends_released(*rig.device);
        }
}

TEST_CASE("extend: its answer lost, 200 s from now stay 200 s from now, not 400") {
    for (const Way way : k_ways)
        for (const int at : {1, 2}) {
            OnTrial rig(way);
            rig.link->set_plan({Harm::drop, at, false});
            const auto extended = rig.session->extend(rig.trial.id, rig.trial.image_crc, 200);
            REQUIRE(extended.has_value());
            CHECK(extended->phase == TrialPhase::extended);
            CHECK(extended->seconds_left <= 200);
            CHECK(extended->seconds_left >= 199);
            REQUIRE(rig.session->listen(190000).has_value());
            CHECK(runs(*rig.device) == rig.trial.image_crc);
            REQUIRE(rig.session->listen(12000).has_value());
            CHECK(runs(*rig.device) == kept_crc());
            CHECK(rig.session->trial()->phase == TrialPhase::expired);
            check_ends_released(*rig.device);
        }
}

TEST_CASE("trial: nobody answers, and after 30 s the kept profile is back") {
    for (const Way way : k_ways) {
        OnTrial rig(way);
        REQUIRE(rig.session->listen(29000).has_value());
        CHECK(runs(*rig.device) == rig.trial.image_crc);
        REQUIRE(rig.session->listen(2000).has_value());
        CHECK(runs(*rig.device) == kept_crc());
        check_ends_released(*rig.device);
    }
}

TEST_CASE("trial: a drag that is under way ends when the trial runs out, in one report of each kind") {
    OnTrial rig(Way::hid);
    rig.device->hands().close_switch(1, rig.device->now_us() + 28000000);
    REQUIRE(rig.session->listen(29000).has_value());
    CHECK(rig.device->host().view().buttons == 1);
    rig.device->host().forget_taken();
    REQUIRE(rig.session->listen(1500).has_value());
    CHECK_FALSE(rig.device->host().view().holds_anything());
    int pointer_reports = 0;
    for (const auto& taken : rig.device->host().taken())
        pointer_reports += taken.endpoint == engine::Endpoint::pointer ? 1 : 0;
    CHECK(pointer_reports <= 2);  // mouse and consumer
    rig.device->hands().open_switch(1, rig.device->now_us() + 1000);
    check_ends_released(*rig.device);
}
