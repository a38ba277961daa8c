// Modes: chosen, stepped through, held; and presses that see a mode change on their way.

#include <doctest/doctest.h>

#include "core/engine/modes.hpp"
#include "tests/engine/rig.hpp"

using namespace fettle::engine;
using namespace fettle::engine::testing;

namespace {
constexpr std::uint8_t k_a = 0x04;
constexpr std::uint8_t k_b = 0x05;

/// Switch 1 types a in mode 0, b in mode 1, c in mode 2 ...; further switches change the mode.
struct Three {
    Profile p;
    std::uint8_t key, changer, other;
    Three(const ActionDef& change, const ActionDef& other_change, std::uint8_t modes = 3) {
        p.mode_count = modes;
        key = p.add_switch(1);
        changer = p.add_switch(2);
        other = p.add_switch(3);
        for (std::uint8_t m = 0; m < modes; ++m)
            p.assign(m, key, tap_key(static_cast<std::uint8_t>(k_a + m)));
        p.assign_everywhere(changer, change);
        p.assign_everywhere(other, other_change);
    }
};
}  // namespace

TEST_CASE("modes: go to 2 and back to 0 changes what a switch types") {
    Three t(mode(ModeStyle::go_to, 2), mode(ModeStyle::go_to, 0));
    Rig rig(t.p);
    rig.press(t.key, 30);
    rig.press(t.changer, 30);
    CHECK(int{rig.engine.state().mode} == 2);
    rig.press(t.key, 30);
    rig.press(t.other, 30);
    rig.press(t.key, 30);
    rig.run(20);
    CHECK(rig.typed() == "04 06 04");
    CHECK(rig.count(EventKind::mode, 2, static_cast<std::uint8_t>(Cause::press)) == 1);
    CHECK(rig.count(EventKind::mode, 0, static_cast<std::uint8_t>(Cause::press)) == 1);
}

TEST_CASE("modes: next goes 0 1 2 and wraps to 0") {
    Three t(mode(ModeStyle::next), tap_key(0));
    Rig rig(t.p);
    for (const int expected : {1, 2, 0, 1}) {
        rig.press(t.changer, 30);
        CHECK(int{rig.engine.state().mode} == expected);
    }
}

TEST_CASE("modes: while held 800 ms mode 1 is on, then the one before") {
    Three t(mode(ModeStyle::while_held, 1), tap_key(0));
    Rig rig(t.p);
    rig.down(t.changer);
    rig.run(400);
    rig.press(t.key, 30);
    rig.run(370);
    rig.up(t.changer);
    rig.run(5);
    rig.press(t.key, 30);
    rig.run(10);
    CHECK(rig.typed() == "05 04");
    CHECK(int{rig.engine.state().mode} == 0);
}

TEST_CASE("modes: a hold within a hold returns to the first one, or past it when the first ended before") {
    Three t(mode(ModeStyle::while_held, 1), mode(ModeStyle::while_held, 2));
    Rig rig(t.p);
    const auto is = [&](int expected) { CHECK(int{rig.engine.state().mode} == expected); };
    rig.down(t.changer);
    rig.run(5);
    rig.down(t.other);
    rig.run(5);
    is(2);
    rig.up(t.other);
    rig.run(5);
    is(1);
    rig.down(t.other);
    rig.run(5);
    rig.up(t.changer);
    rig.run(5);
    is(2);
    rig.up(t.other);
    rig.run(5);
    is(0);
}

TEST_CASE("modes: a mode chosen during a hold stays when the hold ends") {
    Three t(mode(ModeStyle::while_held, 1), mode(ModeStyle::go_to, 2));
    Rig rig(t.p);
    rig.down(t.changer);
    rig.run(5);
    rig.press(t.other, 30);
    rig.up(t.changer);
    rig.run(5);
    CHECK(int{rig.engine.state().mode} == 2);
}

TEST_CASE("modes: a 5th hold at once is refused and changes nothing") {
    Modes modes;
    modes.reset();
    for (std::uint8_t i = 0; i < k_max_mode_holds; ++i)
        CHECK(modes.hold(i, static_cast<std::uint8_t>(i + 1)));
    CHECK_FALSE(modes.hold(9, 9));
    CHECK(int{modes.mode()} == 4);
    modes.let_go(9);
    CHECK(int{modes.mode()} == 4);
    for (std::uint8_t i = 0; i < k_max_mode_holds; ++i) modes.let_go(i);
    CHECK(int{modes.mode()} == 0);
}

TEST_CASE("modes: a key held in mode 0 ends with its press though mode 1 came 100 ms before") {
    Profile p;
    p.mode_count = 2;
    const auto key = p.add_switch(1);
    const auto changer = p.add_switch(2);
    p.assign(0, key, hold_key(k_a));
    p.assign(1, key, hold_key(k_b));
    p.assign_everywhere(changer, mode(ModeStyle::next));
    Rig rig(p);
    rig.down(key);
    rig.run(100);
    rig.press(changer, 30);
    rig.run(100);
    CHECK(rig.computer.keys == std::set<std::uint8_t>{k_a});
    rig.up(key);
    rig.run(10);
    CHECK(rig.computer.keys.empty());
    rig.press(key, 30);
    rig.run(10);
    CHECK(rig.typed() == "04 05");
}

TEST_CASE("modes: a direction held over a mode change goes on until its own release") {
    Profile p;
    p.mode_count = 2;
    const auto right = p.add_switch(1);
    const auto changer = p.add_switch(2);
    p.assign(0, right, move(Direction::right));
    p.assign_everywhere(changer, mode(ModeStyle::next));
    Rig rig(p);
    rig.down(right);
    rig.run(200);
    rig.press(changer, 30);
    rig.run(300);
    CHECK(rig.computer.x > 100);
    rig.up(right);
    rig.run(2);
    rig.moved();
}

TEST_CASE("modes: latch, lock and drag survive a mode change and are shown") {
    Profile p;
    p.mode_count = 2;
    const auto latcher = p.add_switch(1);
    const auto locker = p.add_switch(2);
    const auto dragger = p.add_switch(3);
    const auto changer = p.add_switch(4);
    const auto letgo = p.add_switch(5);
    p.assign_everywhere(latcher, latch(0x02));
    p.assign_everywhere(locker, latch(0x01, LatchStyle::lock));
    p.assign_everywhere(dragger, drag(1));
    p.assign_everywhere(changer, mode(ModeStyle::next));
    p.assign_everywhere(letgo, simple(ActionKind::release_all));
    Rig rig(p);
    rig.press(locker, 30);
    rig.press(dragger, 30);
    rig.run(20);
    rig.press(latcher, 30);
    rig.press(changer, 30);
    rig.run(500);
    const HeldState held = rig.engine.state().held;
    CHECK(int{rig.engine.state().mode} == 1);
    CHECK(int{held.latched} == 2);
    CHECK(int{held.locked} == 1);
    CHECK(int{held.dragged} == 1);
    CHECK(int{rig.computer.buttons} == 1);
    rig.press(letgo, 30);
    rig.run(10);
    CHECK_FALSE(rig.computer.holds_anything());
    rig.take_clicks();
}

TEST_CASE("modes: a long press that was accepted in mode 0 and got long in mode 1 does what mode 1 says") {
    Profile p;
    p.mode_count = 2;
    const auto key = p.add_switch(1);
    const auto changer = p.add_switch(2);
    for (std::uint8_t m = 0; m < 2; ++m) {
        p.assign(m, key, tap_key(static_cast<std::uint8_t>(0x10 + m)));
        p.assign(m, key, tap_key(static_cast<std::uint8_t>(0x14 + m)), Gesture::long_press);
    }
    p.assign_everywhere(changer, mode(ModeStyle::next));
    Rig rig(p);
    rig.down(key);
    rig.run(200);
    rig.press(changer, 30);
    rig.run(400);
    rig.up(key);
    rig.run(20);
    CHECK(rig.typed() == "15");
}

TEST_CASE("modes: the host chooses mode 1; a mode that there is not is ignored") {
    Three t(tap_key(0), tap_key(0), 2);
    Rig rig(t.p);
    rig.engine.go_to_mode(1, rig.now_us());
    CHECK(int{rig.engine.state().mode} == 1);
    CHECK(rig.count(EventKind::mode, 1, static_cast<std::uint8_t>(Cause::host)) == 1);
    rig.engine.go_to_mode(2, rig.now_us());
    CHECK(int{rig.engine.state().mode} == 1);
    rig.press(t.key, 30);
    rig.run(10);
    CHECK(rig.typed() == "05");
    CHECK(int{rig.engine.proof() & k_proof_mode} == 0);
}

TEST_CASE(
    "modes: two switches in one millisecond, the lower one first: the mode changes, then the key is its") {
    Profile p;
    p.mode_count = 2;
    const auto changer = p.add_switch(1);
    const auto key = p.add_switch(2);
    p.assign_everywhere(changer, mode(ModeStyle::next));
    p.assign(0, key, tap_key(k_a));
    p.assign(1, key, tap_key(k_b));
    Rig rig(p);
    rig.down(changer);
    rig.down(key);
    rig.run(50);
    rig.up(changer);
    rig.up(key);
    rig.run(20);
    CHECK(rig.typed() == "05");
}
