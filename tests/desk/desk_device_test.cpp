// What the desk knows of the device: what it runs, what is down, that it went and came back.

#include <doctest/doctest.h>

#include "core/profile/document.hpp"
#include "tests/desk/desk_rig.hpp"

using namespace fettle;
using namespace fettle::app;
using namespace fettle::app::test;

namespace {

std::vector<store::RunKind> kinds(const Desk& desk) {
    std::vector<store::RunKind> all;
    for (const auto& run : desk.people.runs) all.push_back(run.kind);
    return all;
}

void put_on_device(DeskRig& rig) {
    rig.connect();
    rig.try_it();
    rig.prove();
    rig.take(Ask{ask::Keep{}});
    REQUIRE(rig.run_until([&] { return !rig.desk().trying.is_running; }));
}

std::size_t at(const profile::Profile& p, const char* input) {
    return static_cast<std::size_t>(profile::index_of(p.inputs, input));
}

}  // namespace

TEST_CASE("desk: a device with a profile that nobody knows is read, and its inputs get numbers for names") {
    DeskRig rig;
    rig.connect();
    CHECK_FALSE(rig.desk().editing.on_device.has_value());
    CHECK_FALSE(rig.desk().is_on_device());
    CHECK(rig.desk().names.inputs[0] == "input1");
    rig.run_ms(500);
    CHECK(kinds(rig.desk()) == std::vector{store::RunKind::seen});
    CHECK(rig.desk().people.runs[0].device_serial == "SIM00001");
    rig.check_ends_released();
}

TEST_CASE("desk: what the device runs is taken over as an edit, under the name that the profile has here") {
    DeskRig rig;
    rig.connect();
    const auto before = rig.profile();
    rig.take(order::TakeFromDevice{});
    CHECK(rig.profile().name == before.name);
    CHECK(rig.profile().id == before.id);
    CHECK(rig.profile().inputs[0].name == "input1");
    rig.take(order::Undo{});
    CHECK(rig.profile() == before);
    rig.check_ends_released();
}

TEST_CASE("desk: an input is down while it is pressed, 130 ms longer by remote; its time is kept") {
    DeskRig rig;
    put_on_device(rig);
    const auto switch_at = at(rig.profile(), "foot"), up_at = at(rig.profile(), "up");
    rig.take(Ask{ask::Hand{rig.profile().inputs[switch_at].source, true, 0}});
    REQUIRE(rig.run_until([&] { return bool{rig.desk().down[switch_at]}; }, 300));
    const auto since = rig.desk().pressed_us[switch_at];
    CHECK(since > 0);
    CHECK(rig.desk().device_us - since < 100'000);
    rig.run_ms(2000);
    CHECK(rig.desk().down[switch_at]);
    CHECK(rig.desk().pressed_us[switch_at] == since);
    rig.take(Ask{ask::Hand{rig.profile().inputs[switch_at].source, false, 0}});
    CHECK(rig.run_until([&] { return !rig.desk().down[switch_at]; }, 300));
    rig.press("foot");  // the volunteer's foot switch drags: the second press lets go
    rig.take(Ask{ask::Hand{rig.profile().inputs[up_at].source, true, 100}});
    REQUIRE(rig.run_until([&] { return bool{rig.desk().down[up_at]}; }, 500));
    CHECK(rig.run_until([&] { return !rig.desk().down[up_at]; }, 500));
    CHECK(rig.desk().mode == 0);
    rig.press("menu");
    CHECK(rig.desk().mode == 1);
    rig.check_ends_released();
}

TEST_CASE("desk: a dragged button shows in held, and release everything lets go of it and is noted") {
    DeskRig rig;
    put_on_device(rig);
    rig.press("foot");
    CHECK(rig.desk().held[2] == 1);
    rig.take(Ask{ask::Release{}});
    REQUIRE(rig.run_until([&] { return rig.desk().held[2] == 0; }));
    rig.run_ms(500);
    CHECK(rig.notice() == "Everything was let go.");
    CHECK(kinds(rig.desk()).front() == store::RunKind::released);
    CHECK(rig.desk().people.runs[0].profile == rig.desk().editing.entry);
    rig.check_ends_released();
}

TEST_CASE("desk: what runs is known by name after a restart, though the profile on the desk is edited") {
    fettle::test::Folder folder;
    auto device = std::make_shared<sim::SimDevice>();
    const DeskOptions options{.store_path = folder / "people.db"};
    profile::Profile kept;
    {
        DeskRig rig(options, device);
        put_on_device(rig);
        kept = rig.profile();
        rig.take_and_see(edit::SetModeLabel{"far", "Wide"});
        CHECK(rig.profile().version == kept.version + 1);
        rig.take_and_see(order::Save{});
    }
    DeskRig again(options, device);
    again.connect();
    REQUIRE(again.desk().editing.on_device.has_value());
    CHECK(*again.desk().editing.on_device == kept);
    CHECK(again.desk().names.inputs[0] == "up");
    REQUIRE(again.desk().editing.changes.size() == 1);
    CHECK(again.desk().editing.changes[0].path == "modes/far/label");
    CHECK_FALSE(again.desk().is_on_device());
    again.take(order::TakeFromDevice{});
    CHECK(again.desk().is_on_device());
    CHECK(again.desk().editing.changes.empty());
    again.check_ends_released();
}

TEST_CASE("desk: unplugged, the desk says so, keeps the edits, notes it, and goes on when it is back") {
    DeskRig rig;
    put_on_device(rig);
    rig.take(edit::SetModeLabel{"near", "Close"});
    const auto edited = rig.profile();
    const auto heard = rig.desk().device_us;
    const auto events = rig.desk().roll.size();
    rig.device->pull_cable();
    REQUIRE(rig.run_until([&] { return rig.desk().device.state != LinkState::live; }, 1000));
    CHECK(rig.desk().notice->words ==
          "The device is gone. Every change is kept here; it is opened again when it is back.");
    CHECK(rig.profile() == edited);
    for (const bool is_down : rig.desk().down) CHECK_FALSE(is_down);
    rig.run_ms(5000);
    CHECK(kinds(rig.desk()).front() == store::RunKind::lost);
    rig.device->plug_cable();
    REQUIRE(rig.run_until([&] { return rig.desk().device.state == LinkState::live; }));
    rig.run_ms(1500);
    CHECK(kinds(rig.desk()).front() == store::RunKind::seen);
    CHECK(rig.profile() == edited);
    CHECK(rig.desk().editing.on_device.has_value());
    // Time goes on, with a gap that says that nothing is known of the time between.
    CHECK(rig.desk().device_us > heard + 4'000'000);
    CHECK(rig.desk().roll.size() > events);
    CHECK(rig.desk().roll.count_of(trace::Wanted::telemetry_lost) >= 1);
    rig.check_ends_released();
}

TEST_CASE("desk: hung up on request, nothing is called lost") {
    DeskRig rig;
    rig.connect();
    rig.notice();
    rig.take(Ask{ask::Disconnect{}});
    REQUIRE(rig.run_until([&] { return rig.desk().device.state == LinkState::absent; }));
    rig.run_ms(100);
    CHECK(rig.notice().empty());
    CHECK(kinds(rig.desk()) == std::vector{store::RunKind::seen});
    rig.check_ends_released();
}

TEST_CASE("desk: each kind of trouble on the cable, while each order is given, keeps the edits") {
    const Order orders[] = {order::Try{},
                            order::TakeFromDevice{},
                            Ask{ask::Keep{}},
                            Ask{ask::Revert{}},
                            Ask{ask::Extend{}},
                            Ask{ask::Release{}},
                            Ask{ask::SetMode{1}},
                            Ask{ask::ReadImage{}},
                            order::RecordBegin{true},
                            order::TeachBegin{"up", true},
                            order::RoomTestBegin{},
                            order::Undo{},
                            order::OpenProfile{1},
                            order::Save{}};
    for (const Trouble trouble : k_troubles)
        for (const Order& one : orders) {
            CAPTURE(name_of(trouble));
            CAPTURE(one.index());
            DeskRig rig;
            rig.connect();
            rig.take(edit::SetModeLabel{"far", "A"});
            rig.take(edit::SetModeLabel{"near", "B"});
            const bool undoes = std::holds_alternative<order::Undo>(one);
            rig.source.cable->trouble = trouble;
            rig.take(one);
            rig.run_ms(1500);
            // What runs was read before the trouble began: it is taken over, and undone.
            if (std::holds_alternative<order::TakeFromDevice>(one)) rig.take(order::Undo{});
            CHECK(rig.profile().modes[0].label == "A");
            CHECK(rig.profile().modes[1].label == (undoes ? "Near" : "B"));
            CHECK(seen_state(rig.desk().device, rig.clock.ms()) != LinkState::live);
            rig.source.cable->trouble = Trouble::none;
            CHECK(rig.run_until([&] { return rig.desk().device.state == LinkState::live; }, 40000));
            CHECK_FALSE(rig.desk().trying.is_asked);
            rig.check_ends_released();
        }
}
