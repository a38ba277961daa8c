// A storage that is busy delays what is pressed, and changes nothing else.

#include <doctest/doctest.h>

#include "core/engine/gestures.hpp"
#include "tests/engine/rig.hpp"

using namespace fettle::engine;
using namespace fettle::engine::testing;

TEST_CASE("storage: busy for 4 ms at the press delays the key by 4 ms") {
    Profile p;
    const auto in = p.add_switch(1);
    p.assign(0, in, tap_key(0x04));
    Rig rig(p);
    rig.down(in);
    const std::uint32_t from = rig.now_ms();
    const auto is_busy = [&] { return rig.now_ms() < from + 5; };
    rig.stored().is_busy = is_busy;
    rig.run(50);
    rig.up(in);
    const std::vector<Typed> typed = rig.take_typed();
    REQUIRE(typed.size() == 1);
    CHECK(typed[0].ms == from + 5);
}

TEST_CASE("storage: 6 gestures that wait for 300 ms come in order, ends behind their begins") {
    Profile p;
    p.mode_count = 2;
    const auto key = p.add_switch(1);
    const auto changer = p.add_switch(2);
    p.assign(0, key, hold_key(0x04));
    p.assign(1, key, hold_key(0x05));
    p.assign_everywhere(changer, mode(ModeStyle::next));
    Rig rig(p);
    bool is_busy = true;
    rig.stored().is_busy = [&] { return is_busy; };
    rig.press(key, 50);
    rig.press(changer, 50);
    rig.press(key, 50);
    CHECK(rig.typed() == "");
    is_busy = false;
    rig.run(50);
    // The second press is acted on in the mode that the gesture before it has made.
    CHECK(rig.typed() == "04 05");
    CHECK(rig.action_story() == "begin 1, end 1, begin 3, end 3, begin 2, end 2");
}

TEST_CASE("storage: an end needs no storage: a key lets go while it is busy for ever") {
    Profile p;
    const auto in = p.add_switch(1);
    p.assign(0, in, hold_key(0x04));
    Rig rig(p);
    rig.down(in);
    rig.run(50);
    rig.stored().is_busy = [] { return true; };
    rig.up(in);
    rig.run(10);
    CHECK_FALSE(rig.computer.holds_anything());
    CHECK(rig.typed() == "04");
}

TEST_CASE(
    "storage: busy for ever, 8 gestures wait, the 9th is a fault, its input is let go; nothing sticks") {
    Profile p;
    const auto in = p.add_switch(1);
    const auto holder = p.add_switch(2);
    p.assign(0, in, tap_key(0x04));
    p.assign(0, holder, hold_key(0x05));
    Rig rig(p);
    rig.down(holder);
    rig.run(20);
    bool is_busy = true;
    rig.stored().is_busy = [&] { return is_busy; };
    for (int i = 0; i < 4; ++i) rig.press(in, 10);
    CHECK(rig.count(EventKind::fault) == 0);
    rig.up(holder);  // the 9th: an end
    rig.run(5);
    CHECK(rig.count(EventKind::fault, static_cast<std::uint8_t>(Fault::queue_full), 0) == 1);
    CHECK(rig.computer.keys.empty());
    rig.press(in, 10);  // all of this input's gestures are given up
    is_busy = false;
    rig.run(50);
    rig.expected_faults = 2;
    CHECK(rig.typed() == "05");
    rig.press(in, 10);
    rig.run(20);
    CHECK(rig.typed() == "04");
}

TEST_CASE("storage: a device repeat that is due waits for the storage and goes on") {
    Profile p;
    const auto in = p.add_switch(1);
    p.assign(0, in, repeat_key(0x04, 0));
    Rig rig(p);
    rig.down(in);
    rig.run(490);
    bool is_busy = true;
    rig.stored().is_busy = [&] { return is_busy; };
    rig.run(40);
    CHECK(rig.take_typed().size() == 1);
    is_busy = false;
    rig.run(110);
    CHECK(rig.take_typed().size() == 2);
    rig.up(in);
    rig.run(10);
}

TEST_CASE(
    "storage: release everything gets through as soon as the storage answers, before 6 gestures behind it") {
    Profile p;
    const auto letgo = p.add_switch(1);
    const auto key = p.add_switch(2);
    p.assign(0, letgo, simple(ActionKind::release_all));
    p.assign(0, key, tap_key(0x04));
    Rig rig(p);
    bool is_busy = true;
    rig.stored().is_busy = [&] { return is_busy; };
    rig.press(letgo, 10);
    for (int i = 0; i < 3; ++i) rig.press(key, 10);
    is_busy = false;
    rig.run(50);
    CHECK(rig.count(EventKind::released) == 1);
    CHECK(rig.typed() == "");
}

TEST_CASE("gestures: 8 fit, come out in order, and those of one input can be dropped") {
    Gestures g;
    g.clear();
    for (std::uint8_t i = 0; i < 8; ++i) {
        const auto gesture = static_cast<Gesture>(i % 3);
        CHECK(g.add({static_cast<std::uint8_t>(i % 4 + 20), i % 5 == 0, gesture}));
    }
    CHECK_FALSE(g.add({0, false, Gesture::short_press}));
    g.drop(21);
    for (std::uint8_t i = 0; i < 8; ++i) {
        if (i % 4 == 1) continue;
        REQUIRE_FALSE(g.is_empty());
        const Waiting w = g.first();
        CHECK(int{w.input} == i % 4 + 20);
        CHECK(w.is_end == (i % 5 == 0));
        if (!w.is_end) CHECK(static_cast<int>(w.gesture) == i % 3);
        g.drop_first();
    }
    CHECK(g.is_empty());
}
