// Cases at the edges: what mutants of the engine showed to be worth a test.

#include <doctest/doctest.h>

#include "core/sim/ir_encode.hpp"
#include "tests/engine/rig.hpp"

using namespace fettle::engine;
using namespace fettle::engine::testing;

TEST_CASE("gestures: short, long of 500 ms and double within 300 ms do three different things") {
    Profile p;
    const auto in = p.add_switch(1);
    p.assign(0, in, tap_key(0x04));
    p.assign(0, in, hold_key(0x05), Gesture::long_press);
    p.assign(0, in, tap_key(0x06), Gesture::double_press);
    Rig rig(p);
    rig.press(in, 100);
    rig.run(250);
    CHECK(rig.typed() == "");  // it may still become a double
    rig.run(100);
    CHECK(rig.typed() == "04");
    rig.press(in, 100);
    rig.run(100);
    rig.press(in, 100);
    rig.run(400);
    CHECK(rig.typed() == "06");
    rig.down(in);
    rig.run(700);
    CHECK(rig.computer.keys.count(0x05) == 1);
    rig.up(in);
    rig.run(10);
    CHECK(rig.typed() == "05");
}

TEST_CASE(
    "infrared: one frame moves 1 count though its holdover of 150 ms outlasts the motion's delay of 50 ms") {
    Profile p;
    p.motions[0] = steady_motion(1, 50, 65536);
    p.assign(0, p.add_remote(Protocol::nec, 4, 1), move(Direction::left));
    Rig rig(p);
    rig.send(make_ir_frame(Protocol::nec, 4, 1));
    rig.run(500);
    CHECK(rig.moved() == "-1 0");
}

TEST_CASE("actions: a mode that there is not, a repeat that there is not and 200 detents do no harm") {
    Profile p;
    p.mode_count = 2;
    const auto wrong_mode = p.add_switch(1);
    const auto wrong_repeat = p.add_switch(2);
    const auto many = p.add_switch(3);
    p.assign(0, wrong_mode, mode(ModeStyle::go_to, 2));
    p.assign(0, wrong_repeat, repeat_key(0x04, 3));
    p.assign(0, many, scroll(Direction::up, 200));
    Rig rig(p);
    rig.press(wrong_mode, 20);
    CHECK(int{rig.engine.state().mode} == 0);
    CHECK(rig.action_story() == "refused 1");
    rig.press(wrong_repeat, 900);
    rig.run(10);
    CHECK(rig.typed() == "04");
    rig.press(many, 20);
    rig.run(10);
    CHECK(rig.scrolled() == "127 0");
}

TEST_CASE("proof: what the host lets go and the modes that the host chooses prove nothing") {
    Profile p;
    p.mode_count = 2;
    const auto key = p.add_switch(1);
    p.assign_everywhere(key, hold_key(0x04));
    Rig rig(p);
    rig.down(key);
    rig.run(20);
    rig.command(k_command_release_all);
    rig.run(50);
    rig.engine.go_to_mode(1, rig.now_us());
    rig.engine.go_to_mode(0, rig.now_us());
    CHECK(int{rig.engine.proof()} == 0);
    rig.up(key);
    rig.run(20);
    rig.press(key, 20);
    rig.run(20);
    CHECK(int{rig.engine.proof()} == k_proof_let_go);
    rig.typed();
}

TEST_CASE("release everything and a load drop the rest of three jumps of 32767 counts") {
    for (const bool is_load : {false, true}) {
        CAPTURE(is_load);
        Profile p;
        p.assign(0, p.add_switch(1), jump(Direction::right, 32767));
        p.assign(0, p.add_switch(2), jump(Direction::right, 32767));
        p.assign(0, p.add_switch(3), jump(Direction::right, 32767));
        Rig rig(p);
        rig.down(0);
        rig.down(1);
        rig.down(2);
        rig.run(1);
        if (is_load) {
            rig.load(p, Cause::press, true, 0);
        } else {
            rig.command(k_command_release_all);
        }
        rig.run(100);
        CHECK(rig.computer.x == 32767);
        rig.moved();
        rig.up(0);
        rig.up(1);
        rig.up(2);
        rig.run(20);
    }
}

TEST_CASE("release everything: a press that waits to become long is forgotten with the rest") {
    Profile p;
    const auto in = p.add_switch(1);
    p.assign(0, in, tap_key(0x04));
    p.assign(0, in, tap_key(0x05), Gesture::long_press);
    Rig rig(p);
    rig.down(in);
    rig.run(300);
    rig.command(k_command_release_all);
    rig.run(600);
    rig.up(in);
    rig.run(600);
    CHECK(rig.typed() == "");
    CHECK(rig.count(EventKind::gesture) == 0);
}

TEST_CASE("load: a variant goes on with the toggled scale of 500 permille") {
    Profile p;
    const auto slower = p.add_switch(1);
    const auto right = p.add_switch(2);
    p.motions[0] = steady_motion(0, 0, 65536);
    p.assign(0, slower, scale(ScaleStyle::toggle, 500));
    p.assign(0, right, move(Direction::right));
    Rig rig(p);
    rig.press(slower, 20);
    rig.load(p, Cause::press, true, 1);
    CHECK(rig.engine.state().scale_permille == 500);
    rig.press(right, 400);
    rig.run(10);
    CHECK(rig.computer.x >= 200);
    CHECK(rig.computer.x <= 202);
    rig.moved();
}

TEST_CASE("load: what claims to be a variant but lacks the present mode begins in the first one") {
    Profile p;
    p.mode_count = 2;
    p.assign_everywhere(p.add_switch(1), mode(ModeStyle::go_to, 1));
    Rig rig(p);
    rig.press(0, 20);
    Profile fewer;
    fewer.add_switch(1);
    rig.load(fewer, Cause::press, true, 1);
    CHECK(int{rig.engine.state().mode} == 0);
}

TEST_CASE("suspend: direction, held mode and text end with it, though the switches stay closed") {
    Profile p;
    p.mode_count = 2;
    p.stroke_gap_ms = 300;
    p.texts = {{0x04, 0x05, 0x06}};
    const auto right = p.add_switch(1);
    const auto holder = p.add_switch(2);
    const auto typer = p.add_switch(3);
    p.assign_everywhere(right, move(Direction::right));
    p.assign_everywhere(holder, mode(ModeStyle::while_held, 1));
    p.assign_everywhere(typer, text(0));
    Rig rig(p);
    rig.press(typer, 20);
    rig.down(right);
    rig.down(holder);
    rig.run(200);
    CHECK(rig.typed() == "04");
    rig.moved();
    rig.standing_commands = k_command_suspended;
    rig.run(500);
    CHECK(int{rig.engine.state().mode} == 0);
    CHECK(rig.count(EventKind::text, 0, 2) == 1);
    CHECK(rig.count(EventKind::mode, 0, static_cast<std::uint8_t>(Cause::suspend)) == 1);
    rig.standing_commands = 0;
    rig.run(1500);
    CHECK(rig.moved() == "0 0");
    CHECK(rig.typed() == "");
    rig.up(right);
    rig.up(holder);
    rig.run(20);
}

TEST_CASE("clock: a press of 2 s over the wrap of the microsecond clock is held and let go") {
    Profile p;
    const auto in = p.add_switch(1);
    p.assign(0, in, hold_key(0x04));
    Rig rig(p, 0xFFFFFFFFu - 500000u);
    rig.down(in);
    rig.run(1999);
    CHECK(rig.computer.keys.size() == 1);
    rig.up(in);
    rig.run(10);
    CHECK(rig.typed() == "04");
}

TEST_CASE("clock: a hold of 100 s over the wraps of the 16-bit millisecond clock travels on and stops") {
    Profile p;
    p.rules[0].longest_hold_ds = 6000;
    const auto in = p.add_switch(1);
    p.assign(0, in, move(Direction::right));
    Rig rig(p);
    rig.press(in, 100000);
    rig.run(10);
    CHECK(rig.moved() == "99701 0");  // 1 at once, 1 a ms from the 300th ms on
}
