// Teaching: two presses that agree, by real pulses; a whole remote; what the room may obey too.

#include <doctest/doctest.h>

#include "core/sim/ir_encode.hpp"
#include "tests/desk/desk_rig.hpp"

using namespace fettle;
using namespace fettle::app;
using namespace fettle::app::test;

namespace {

const profile::InputSource& source_of(const DeskRig& rig, const char* input) {
    const auto* one = profile::find_named(rig.profile().inputs, input);
    REQUIRE(one != nullptr);
    return one->source;
}

}  // namespace

TEST_CASE("desk: a button is taught by two presses, its pulses are those that the remote sent") {
    DeskRig rig;
    rig.connect();
    rig.take(order::TeachBegin{"up", false});
    CHECK(rig.desk().teaching.is_on);
    const auto button = strange_button(7);
    rig.press(button);
    CHECK(rig.desk().teaching.first == profile::InputSource{button});
    CHECK_FALSE(rig.desk().teaching.source.has_value());
    rig.take(order::TeachAccept{});
    CHECK(rig.notice() == "Press it twice first: two presses that agree.");
    // What the encoder sends; edges are told in steps of 4 us (core/wire/message.hpp).
    const auto sent = sim::encode(engine::make_ir_frame(button.protocol, 0x33, 7));
    REQUIRE(rig.desk().teaching.pulses.size() == sent.size());
    for (std::size_t i = 0; i < sent.size(); ++i) {
        CAPTURE(i);
        CHECK(std::abs(rig.desk().teaching.pulses[i] - static_cast<std::int32_t>(sent[i])) <= 8);
    }
    rig.press(button);
    REQUIRE(rig.desk().teaching.source == profile::InputSource{button});
    rig.take(order::TeachAccept{});
    CHECK(rig.notice() == "up is taught.");
    CHECK(source_of(rig, "up") == profile::InputSource{button});
    CHECK_FALSE(rig.desk().teaching.is_on);
    rig.take(order::Undo{});
    CHECK(source_of(rig, "up") == volunteer().inputs[0].source);
    rig.check_ends_released();
}

TEST_CASE("desk: a button that is held for 2 s is one press; its repeats do not wipe the train") {
    DeskRig rig;
    rig.connect();
    rig.take(order::TeachBegin{"up", false});
    rig.press(strange_button(7), 2000);
    CHECK(rig.desk().teaching.first.has_value());
    CHECK_FALSE(rig.desk().teaching.source.has_value());
    CHECK(rig.desk().teaching.pulses.size() == 67);  // NEC: leader, 32 bits, last mark. Source: rc-protos.rst
    rig.check_ends_released();
}

TEST_CASE("desk: two presses that differ are shown side by side; the second one counts as a first") {
    DeskRig rig;
    rig.connect();
    rig.take(order::TeachBegin{"up", false});
    rig.press(strange_button(7));
    rig.press(strange_button(8));
    REQUIRE(rig.desk().teaching.mismatch.has_value());
    CHECK(rig.desk().teaching.mismatch->first == profile::InputSource{strange_button(7)});
    CHECK(rig.desk().teaching.mismatch->second == profile::InputSource{strange_button(8)});
    CHECK_FALSE(rig.desk().teaching.source.has_value());
    rig.press(strange_button(8));
    CHECK(rig.desk().teaching.source == profile::InputSource{strange_button(8)});
    CHECK_FALSE(rig.desk().teaching.mismatch.has_value());
    rig.check_ends_released();
}

TEST_CASE("desk: what another input listens to is recognised at the first press and not accepted") {
    DeskRig rig;
    rig.connect();
    rig.take(order::TeachBegin{"up", false});
    rig.press("foot");
    CHECK(rig.desk().teaching.same_as == "foot");
    CHECK(rig.notice() == "That is already foot. Press another one.");
    rig.press("foot");
    rig.take(order::TeachAccept{});
    CHECK(rig.notice() == "That is already foot. Press another one.");
    CHECK(source_of(rig, "up") == volunteer().inputs[0].source);
    CHECK(rig.desk().editing.undo.empty());
    rig.check_ends_released();
}

TEST_CASE("desk: a new switch becomes an input of a free name with the rules that switches have") {
    DeskRig rig;
    rig.connect();
    rig.take(order::TeachBegin{"", false});
    rig.press_twice(profile::Switch{4, true});
    REQUIRE(rig.desk().teaching.source == profile::InputSource{profile::Switch{4, true}});
    rig.take(order::TeachAccept{"chin"});
    const auto* chin = profile::find_named(rig.profile().inputs, "chin");
    REQUIRE(chin != nullptr);
    CHECK(chin->rules == "switches");
    rig.take(order::TeachBegin{"", false});
    rig.press_twice(strange_button(1));
    rig.take(order::TeachAccept{});
    const auto* named = profile::find_named(rig.profile().inputs, "button1");
    REQUIRE(named != nullptr);
    CHECK(named->rules == "remote");
    CHECK(rig.profile().inputs.size() == 14);
    rig.check_ends_released();
}

TEST_CASE("desk: a switch that is let go only after it was accepted is not learnt the wrong way round") {
    DeskRig rig;
    rig.connect();
    rig.take(order::TeachBegin{"cheek", false});
    rig.press(profile::Switch{3, true});
    rig.take(Ask{ask::Hand{profile::Switch{3, true}, true, 0}});
    REQUIRE(rig.run_until([&] { return rig.desk().teaching.source.has_value(); }));
    rig.take(order::TeachAccept{});
    rig.take(order::TeachBegin{"foot", false});
    rig.take(Ask{ask::Hand{profile::Switch{3, true}, false, 0}});
    rig.run_ms(500);
    CHECK_FALSE(rig.desk().teaching.first.has_value());
    rig.check_ends_released();
}

TEST_CASE("desk: a broken remote is replaced: 10 buttons, out of order, one skipped, assignments kept") {
    DeskRig rig;
    rig.connect();
    const auto modes = rig.profile().modes;
    rig.take(order::TeachBegin{"", true});
    CHECK(rig.desk().teaching.input == "up");
    CHECK(rig.desk().teaching.left.size() == 9);
    rig.press_twice(strange_button(0));
    rig.take(order::TeachAccept{});
    CHECK(rig.desk().teaching.input == "down");
    // The button that was taught just now is recognised.
    rig.press(strange_button(0));
    CHECK(rig.desk().teaching.same_as == "up");
    // The old remote's button of an input whose turn is still to come may be taken.
    rig.press_twice(volunteer().inputs[4].source);
    CHECK_FALSE(rig.desk().teaching.same_as.has_value());
    rig.take(order::TeachBegin{"help", true});
    CHECK(rig.desk().teaching.input == "help");
    CHECK(rig.desk().teaching.left.front() == "down");
    CHECK_FALSE(rig.desk().teaching.source.has_value());
    rig.press_twice(strange_button(20));
    rig.take(order::TeachAccept{});
    CHECK(rig.desk().teaching.input == "down");
    for (int i = 1; i < 8; ++i) {
        rig.press_twice(strange_button(i));
        rig.take(order::TeachAccept{});
    }
    REQUIRE(rig.desk().teaching.is_on);
    CHECK(rig.desk().teaching.input == "minus");
    rig.take(order::TeachSkip{});
    CHECK_FALSE(rig.desk().teaching.is_on);
    CHECK(rig.notice() == "9 of 10 buttons are taught; every assignment is as it was.");
    CHECK(rig.profile().modes == modes);
    CHECK(source_of(rig, "help") == profile::InputSource{strange_button(20)});
    CHECK(source_of(rig, "minus") == volunteer().inputs[8].source);
    CHECK(source_of(rig, "cheek") == volunteer().inputs[10].source);
    CHECK(rig.desk().editing.undo.size() == 9);
    rig.check_ends_released();
}

TEST_CASE("desk: a profile without a remote has none to replace; an input that is not there is not taught") {
    DeskRig rig;
    rig.take_and_see(order::NewProfile{1, "Switch", "one_switch"});
    rig.notice();
    rig.take(order::TeachBegin{"", true});
    CHECK(rig.notice() == "No input of this profile listens to a remote.");
    CHECK_FALSE(rig.desk().teaching.is_on);
    rig.take(order::TeachBegin{"none", false});
    CHECK(rig.notice() == "none was not found.");
}

TEST_CASE("desk: the room test ends by itself after 60 s of the device; what it heard warns when taught") {
    DeskRig rig;
    rig.connect();
    rig.take(order::RoomTestBegin{});
    const auto from = rig.desk().room_test.from_us;
    CHECK(rig.desk().room_test.to_us - from == 60'000'000);
    rig.press(strange_button(7));  // the television's own remote
    rig.press("up");               // the person's: no stranger
    REQUIRE(rig.run_until([&] { return !rig.desk().room_test.is_on; }, 70000));
    CHECK(rig.desk().device_us - from >= 60'000'000);
    CHECK(rig.desk().device_us - from < 62'000'000);
    CHECK(rig.notice() == "The room test is over.");

    const struct {
        int command, address;
        InTheRoom expected;
    } cases[] = {
        {7, 0x33, InTheRoom::same_code}, {8, 0x33, InTheRoom::same_address}, {8, 0x34, InTheRoom::not_heard}};
    for (const auto& one : cases) {
        CAPTURE(one.command);
        CAPTURE(one.address);
        rig.take(order::TeachBegin{"down", false});
        auto button = strange_button(one.command);
        button.address = one.address;
        rig.press_twice(button);
        CHECK(rig.desk().teaching.in_the_room == one.expected);
        rig.take(order::TeachAccept{});
        const bool warns = one.expected != InTheRoom::not_heard;
        CHECK(rig.notice() == (warns ? "down is taught. Another thing in the room may obey this button too."
                                     : "down is taught."));
    }
    rig.take(order::RoomTestBegin{});
    rig.run_ms(3000);
    rig.take(order::RoomTestEnd{});
    CHECK(rig.desk().room_test.to_us - rig.desk().room_test.from_us < 4'000'000);
    rig.check_ends_released();
}
