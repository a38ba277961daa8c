// The link goes in the middle of a push, a trial, a keep: what the desk says then, and when the device is
// back.

#include <doctest/doctest.h>

#include "tests/desk/desk_rig.hpp"

using namespace fettle;
using namespace fettle::app;
using namespace fettle::app::test;

namespace {

struct Cutting : DeskRig {
    Cutting() {
        connect();
        take(edit::SetModeLabel{"near", "Close"});
        edited = profile();
    }
    /// The link closes at the n-th message from now on, and the device loses its power; it is back later.
    void cut_at(int n, Order order) {
        source.cable->messages = 0;
        source.cable->close_at = n;
        take(std::move(order));
        REQUIRE(run_until([&] { return desk().device.state != LinkState::live; }));
        device->pull_cable();
        source.cable->close_at = 0;
        run_ms(3000);
    }
    void plug_back() {
        device->plug_cable();
        REQUIRE(run_until([&] { return desk().device.state == LinkState::live; }));
        run_ms(1500);
    }
    bool runs_edited() const { return desk().device.hello->image_crc == desk().editing.compiled->crc; }
    profile::Profile edited;
};

const order::Try k_try{60, false, {}};

}  // namespace

TEST_CASE("desk cut: a push, at each of its first 24 messages: not taken, the edits stay, and it goes on") {
    for (int n = 1; n <= 24; ++n) {
        CAPTURE(n);
        Cutting rig;
        rig.cut_at(n, k_try);
        CHECK(rig.notice() ==
              "The device is gone. The profile that was being sent was not taken: it starts with the one it "
              "kept. "
              "Every change is kept here; it is opened again when it is back.");
        CHECK_FALSE(rig.desk().trying.is_asked);
        CHECK_FALSE(rig.desk().trying.is_running);
        rig.plug_back();
        CHECK(rig.notice() ==
              "The device is back. The profile that was being sent was not taken: it runs the one it kept. "
              "Every "
              "change is still here: put it on trial again.");
        CHECK(rig.profile() == rig.edited);
        CHECK_FALSE(rig.runs_edited());
        CHECK(rig.desk().device.trial.phase == wire::TrialPhase::none);
        if (n % 8 == 0) rig.try_it();
        rig.check_ends_released();
    }
}

TEST_CASE(
    "desk cut: a keep, before it was heard and before its answer was: told when it is back, from what runs") {
    int kept = 0, not_kept = 0;
    for (int n = 1; n <= 4; ++n) {
        CAPTURE(n);
        Cutting rig;
        rig.try_it();
        rig.cut_at(n, Ask{ask::Keep{true}});
        CHECK(rig.notice().starts_with("The device is gone before it said whether it kept the new profile"));
        rig.plug_back();
        ++(rig.runs_edited() ? kept : not_kept);
        CHECK(rig.notice() ==
              (rig.runs_edited()
                   ? "The device is back, and the new profile is kept: it starts with it from now on."
                   : "The device is back. The new profile was not kept: it runs the one before. Every change "
                     "is still "
                     "here."));
        CHECK(rig.profile() == rig.edited);
        rig.check_ends_released();
    }
    CHECK(kept > 0);
    CHECK(not_kept > 0);
}

TEST_CASE(
    "desk cut: a trial that runs ends with the cable, and that is said within a second, and again later") {
    Cutting rig;
    rig.try_it();
    rig.device->pull_cable();
    REQUIRE(rig.run_until([&] { return rig.desk().device.state != LinkState::live; }, 1000));
    CHECK(rig.notice() ==
          "The device is gone, and the trial ended with it: it starts with the profile it kept before. Every "
          "change "
          "is kept here; it is opened again when it is back.");
    rig.run_ms(2000);
    rig.plug_back();
    CHECK(rig.notice() ==
          "The device is back. The trial ended with the link: it runs the profile it kept before. Every "
          "change is "
          "still here: put it on trial again.");
    CHECK_FALSE(rig.runs_edited());
    rig.check_ends_released();
}

TEST_CASE(
    "desk cut: a link that closes while the device keeps its power: the trial is found running, and said") {
    Cutting rig;
    rig.try_it();
    rig.source.cable->trouble = Trouble::close;
    REQUIRE(rig.run_until([&] { return rig.desk().device.state != LinkState::live; }, 2000));
    rig.source.cable->trouble = Trouble::none;
    REQUIRE(rig.run_until([&] { return rig.desk().device.state == LinkState::live; }));
    rig.run_ms(1000);
    CHECK(rig.notice() == "The device is back, and the new profile is still on trial.");
    CHECK(rig.desk().trying.is_running);
    rig.check_ends_released();
}

TEST_CASE(
    "desk cut: with nothing asked, gone and back are 2 plain sentences; a device let go is not said to be "
    "gone") {
    Cutting rig;
    rig.device->pull_cable();
    REQUIRE(rig.run_until([&] { return rig.desk().device.state != LinkState::live; }, 1000));
    CHECK(rig.notice() ==
          "The device is gone. Every change is kept here; it is opened again when it is back.");
    rig.run_ms(1000);
    rig.plug_back();
    CHECK(rig.notice() == "The device is back. Every change is still here.");
    rig.take(Ask{ask::Disconnect{}});
    REQUIRE(rig.run_until([&] { return rig.desk().device.state == LinkState::absent; }));
    rig.take(Ask{ask::Connect{}});
    REQUIRE(rig.run_until([&] { return rig.desk().device.state == LinkState::live; }));
    CHECK(rig.notice().empty());
    rig.check_ends_released();
}

TEST_CASE(
    "desk cut: a device that another one was chosen instead of is not said to be gone; a later loss is") {
    Cutting rig;
    rig.take(Ask{ask::Connect{"sim"}});  // it is open already
    rig.run_ms(500);
    rig.device->pull_cable();
    REQUIRE(rig.run_until([&] { return rig.desk().device.state != LinkState::live; }, 1000));
    CHECK(rig.notice().starts_with("The device is gone."));
    rig.plug_back();
    static_cast<void>(rig.notice());
    rig.take(Ask{ask::Connect{"another"}});
    while (rig.desk().device.state == LinkState::live) {
        rig.frame();
        CHECK_FALSE(rig.notice().starts_with("The device is gone"));
    }
    for (int i = 0; i < 50; ++i) {
        rig.frame();
        CHECK_FALSE(rig.notice().starts_with("The device is gone"));
    }
    rig.take(Ask{ask::Connect{}});
    REQUIRE(rig.run_until([&] { return rig.desk().device.state == LinkState::live; }));
    rig.device->pull_cable();
    REQUIRE(rig.run_until([&] { return rig.desk().device.state != LinkState::live; }, 1000));
    CHECK(rig.notice().starts_with("The device is gone."));
    rig.plug_back();
    rig.check_ends_released();
}
