// Onto the device and what becomes of it: refused, tried, kept, reverted, run out, lost.

#include <doctest/doctest.h>

#include <algorithm>

#include "core/profile/document.hpp"
#include "tests/desk/desk_rig.hpp"

using namespace fettle;
using namespace fettle::app;
using namespace fettle::app::test;
using profile::GestureName;

namespace {

bool has_run(const Desk& desk, store::RunKind kind) {
    const auto& runs = desk.people.runs;
    return std::any_of(runs.begin(), runs.end(), [&](const auto& run) { return run.kind == kind; });
}

edit::Edit slower(const profile::Profile& p) {
    profile::Motion motion = p.motions[0];
    std::get<profile::SpeedShape>(std::get<profile::Travel>(motion.family).speed).top_counts_per_s = 500;
    return edit::PutMotion{motion, ""};
}

}  // namespace

TEST_CASE("desk: without a device a try says that it is gone, and nothing is asked") {
    DeskRig rig;
    rig.take(order::Try{});
    CHECK(rig.notice() == "The device is gone. Look at the cable, then try again.");
    CHECK_FALSE(rig.desk().trying.is_asked);
}

TEST_CASE("desk: what could lock a person out is refused with its sentence, whatever is accepted") {
    DeskRig rig;
    rig.connect();
    for (const char* input : {"cheek", "foot", "help"})
        for (const auto& mode : volunteer().modes)
            for (const auto gesture : {GestureName::short_press, GestureName::long_press})
                rig.take(edit::SetAction{mode.name, input, gesture, {}});
    rig.take(order::Try{60, false, {"mode-without-release"}});
    CHECK_FALSE(rig.desk().trying.is_asked);
    REQUIRE_FALSE(rig.desk().trying.refused.empty());
    CHECK(rig.desk().trying.refused[0].kind == profile::FindingKind::mode_without_release);
    CHECK(rig.notice().starts_with("It was not put on the device, for "));
    rig.run_ms(500);
    CHECK(rig.device->device().hello().image_crc != rig.desk().editing.compiled->crc);
    rig.check_ends_released();
}

TEST_CASE("desk: a warning is refused until it is accepted by its name") {
    DeskRig rig;
    rig.connect();
    for (const auto& mode : volunteer().modes)
        for (const auto gesture :
             {GestureName::short_press, GestureName::long_press, GestureName::double_press})
            rig.take(edit::SetAction{mode.name, "plus", gesture, {}});
    rig.take(order::Try{});
    REQUIRE(rig.desk().trying.refused.size() == 1);
    CHECK(rig.desk().trying.refused[0].kind == profile::FindingKind::input_does_nothing);
    CHECK(rig.notice().starts_with("It was not put on the device: "));
    rig.try_it(60, {"input-does-nothing"});
    CHECK(rig.desk().trying.refused.empty());
    rig.check_ends_released();
}

TEST_CASE("desk: a trial of 19 or 601 s is none") {
    DeskRig rig;
    rig.connect();
    for (const int s : {0, 19, 601, 65535}) {
        rig.take(order::Try{static_cast<std::uint16_t>(s), false, {}});
        CHECK(rig.notice() == "A trial lasts 20 to 600 seconds.");
        CHECK_FALSE(rig.desk().trying.is_asked);
    }
    rig.check_ends_released();
}

TEST_CASE("desk: tried, used, kept: the device runs it, the history says so, the revision is marked") {
    DeskRig rig;
    rig.connect();
    rig.take(slower(rig.profile()));
    const auto crc = rig.desk().editing.compiled->crc;
    rig.try_it(60);
    CHECK(rig.desk().trying.seconds_left >= 58);
    CHECK(rig.notice() == "On trial for 60 s. Without an answer the profile before it comes back.");
    rig.take(Ask{ask::Keep{}});
    REQUIRE(rig.run_until([&] { return rig.desk().notice.has_value(); }));
    CHECK(rig.notice().find(" Still to be shown: ") != std::string::npos);
    CHECK(rig.desk().trying.is_running);
    rig.prove();
    rig.take(Ask{ask::Keep{}});
    REQUIRE(rig.run_until([&] { return !rig.desk().trying.is_running; }));
    rig.run_ms(1000);
    CHECK(rig.notice() == "Kept: the device starts with this profile from now on.");
    CHECK(rig.desk().device.hello->image_crc == crc);
    CHECK(rig.desk().is_on_device());
    CHECK(rig.desk().editing.on_device == rig.profile());
    CHECK(rig.desk().editing.changes.empty());
    CHECK(rig.desk().trying.seconds_left == 0);
    REQUIRE_FALSE(rig.desk().people.runs.empty());
    CHECK(rig.desk().people.runs[0].kind == store::RunKind::kept);
    CHECK(rig.desk().people.runs[0].revision == rig.desk().people.revisions[0].id);
    CHECK(rig.desk().people.kept_revisions.count(rig.desk().people.revisions[0].id) == 1);
    CHECK(has_run(rig.desk(), store::RunKind::trial_began));
    // Byte for byte what was compiled.
    auto session = fettle::test::open_session(rig.device, fettle::test::Way::serial);
    CHECK(*session->read_image(wire::k_slot_current) == rig.desk().editing.compiled->image);
    rig.check_ends_released();
}

TEST_CASE("desk: the first edit after a keep raises the version by one, the next ones do not") {
    DeskRig rig;
    rig.connect();
    rig.try_it();
    rig.prove();
    rig.take(Ask{ask::Keep{}});
    REQUIRE(rig.run_until([&] { return !rig.desk().trying.is_running; }));
    const int version = rig.profile().version;
    rig.take(slower(rig.profile()));
    rig.take(edit::SetModeLabel{"far", "Wide"});
    CHECK(rig.profile().version == version + 1);
    CHECK(rig.desk().editing.changes.size() == 2);
    rig.take(order::Undo{});
    rig.take(order::Undo{});
    CHECK(rig.profile().version == version);
    CHECK(rig.desk().is_on_device());
    rig.check_ends_released();
}

TEST_CASE("desk: a trial of 20 s counts down by the device's time and runs out; the edits stay") {
    DeskRig rig;
    rig.connect();
    rig.take(slower(rig.profile()));
    const auto before = rig.device->device().hello().image_crc;
    rig.try_it(20);
    int last = 21, shown = 0;
    const auto edited = rig.profile();
    while (rig.desk().trying.is_running && shown < 100) {
        if (rig.desk().trying.seconds_left != last) {
            CHECK(rig.desk().trying.seconds_left < last);
            last = rig.desk().trying.seconds_left;
            ++shown;
        }
        rig.frame();
    }
    CHECK(shown >= 19);
    rig.run_ms(1500);
    CHECK(rig.notice() ==
          "The trial ran out: the profile before it is back. Nothing that was edited is lost.");
    CHECK(rig.desk().device.hello->image_crc == before);
    CHECK(rig.profile() == edited);
    CHECK_FALSE(rig.desk().is_on_device());
    CHECK(rig.desk().people.runs[0].kind == store::RunKind::trial_ran_out);
    rig.check_ends_released();
}

TEST_CASE("desk: reverted and extended by request; a second try meanwhile is busy") {
    DeskRig rig;
    rig.connect();
    rig.try_it(30);
    rig.notice();
    rig.take(order::Try{});
    CHECK(rig.notice() ==
          "The device is busy: a trial is running, or it is still writing. Keep or revert what is on trial, "
          "then try again.");
    rig.take(Ask{ask::Extend{300}});
    REQUIRE(rig.run_until([&] { return rig.desk().trying.seconds_left > 290; }));
    rig.take(Ask{ask::Revert{}});
    REQUIRE(rig.run_until([&] { return !rig.desk().trying.is_running; }));
    rig.run_ms(1000);
    CHECK(rig.notice() == "Reverted: the profile before it is back.");
    CHECK(rig.desk().people.runs[0].kind == store::RunKind::reverted);
    rig.check_ends_released();
}

TEST_CASE("desk: the device's own long press on help keeps it; the desk says so, asked by nobody") {
    DeskRig rig;
    rig.connect();
    rig.try_it();
    rig.prove();
    REQUIRE(rig.desk().mode == 0);
    rig.press("help", 1200);
    REQUIRE(rig.run_until([&] { return !rig.desk().trying.is_running; }));
    rig.run_ms(1000);
    CHECK(rig.desk().people.runs[0].kind == store::RunKind::kept);
    CHECK(rig.desk().is_on_device());
    rig.check_ends_released();
}

TEST_CASE("desk: unplugged while it connects, is pushed to, tries: the edits and the kept profile stay") {
    for (int phase = 0; phase < 3; ++phase)
        for (int frames = 0; frames < 40; frames += 3) {
            CAPTURE(phase);
            CAPTURE(frames);
            DeskRig rig;
            rig.take(slower(rig.profile()));
            const auto edited = rig.profile();
            if (phase == 0)
                rig.take(Ask{ask::Connect{}});
            else
                rig.connect();
            if (phase == 1) rig.take(order::Try{});
            if (phase == 2) rig.try_it(60);
            for (int i = 0; i < frames; ++i) rig.frame();
            rig.device->pull_cable();
            rig.run_ms(1500);
            CHECK(rig.profile() == edited);
            CHECK_FALSE(rig.desk().trying.is_running);
            CHECK_FALSE(rig.desk().trying.is_asked);
            rig.device->plug_cable();
            if (phase == 0) rig.take(Ask{ask::Connect{}});
            REQUIRE(rig.run_until([&] { return rig.desk().device.state == LinkState::live; }));
            CHECK(rig.desk().device.hello->current_slot == wire::k_slot_built_in);
            CHECK(rig.profile() == edited);
            rig.check_ends_released();
        }
}

TEST_CASE("desk: an imported profile is not tried until its texts were agreed to, nor after a restart") {
    fettle::test::Folder folder;
    const DeskOptions options{.store_path = folder / "people.db"};
    {
        DeskRig rig(options);
        rig.take_and_see(order::ImportLook{FETTLE_ROOT "/assets/profiles/volunteer.json"});
        rig.take_and_see(order::ImportAccept{});
        CHECK(rig.desk().editing.is_foreign);
        rig.take_and_see(edit::SetModeLabel{"far", "Mine"});
    }
    DeskRig again(options);
    CHECK(again.desk().editing.is_foreign);
    again.connect();
    again.take(order::Try{});
    CHECK(again.desk().trying.needs_texts_seen);
    CHECK_FALSE(again.desk().trying.is_asked);
    again.take(order::Try{60, true, {}});
    CHECK_FALSE(again.desk().editing.is_foreign);
    REQUIRE(again.run_until([&] { return again.desk().trying.is_running; }, 30000));
    CHECK(again.store->settings()->count("foreign.2") == 0);
    again.check_ends_released();
}
