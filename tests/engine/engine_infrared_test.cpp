// From a remote's pulses to actions. Timings of the frames: core/sim/ir_encode.hpp names their sources.

#include <doctest/doctest.h>

#include "core/sim/ir_encode.hpp"
#include "tests/engine/rig.hpp"

using namespace fettle::engine;
using namespace fettle::engine::testing;

namespace {

/// Holds a button: the frame, then what the protocol sends while it is held, `frames` in all.
void hold(Rig& rig, const IrFrame& frame, int frames) {
    const std::uint32_t period_ms = fettle::sim::period_us(frame.protocol) / 1000;
    IrFrame now = frame;
    for (int i = 0; i < frames; ++i) {
        rig.send(now);
        rig.run(period_ms);
        now.repeat = frame.protocol == Protocol::nec || frame.protocol == Protocol::necx ||
                     frame.protocol == Protocol::jvc;
    }
}

struct Remote12 {
    Profile p;
    std::uint8_t ok, right;
    explicit Remote12(Protocol protocol) {
        ok = p.add_remote(protocol, 4, 1);
        right = p.add_remote(protocol, 4, 2);
        p.assign(0, ok, hold_key(0x04));
        p.assign(0, right, move(Direction::right));
    }
};

}  // namespace

TEST_CASE(
    "infrared: in each of the 10 protocols a button held for 4 frames is one press and ends by its "
    "holdover") {
    for (int protocol = 1; protocol <= 10; ++protocol) {
        CAPTURE(protocol);
        Remote12 r(static_cast<Protocol>(protocol));
        Rig rig(r.p);
        IrFrame frame = make_ir_frame(static_cast<Protocol>(protocol), 4, 1);
        if (frame.protocol == Protocol::rc5 || frame.protocol == Protocol::rc6) frame.toggle = 1;
        hold(rig, frame, 4);
        rig.run(400);
        CHECK(rig.typed() == "04");
        CHECK(rig.action_story() == "begin 1, end 1");
        CHECK(rig.count(EventKind::ir_frame) == 4);
        CHECK(rig.count(EventKind::level, r.ok, 1) == 1);
        CHECK(rig.count(EventKind::level, r.ok, 0) == 1);
        CHECK(rig.count(EventKind::ir_lost) == 0);
    }
}

TEST_CASE(
    "infrared: button 2 held for a mode, then button 1 within the holdover: 2 ends first, so 1 acts in mode "
    "0, "
    "whichever has the lower number") {
    for (const bool holder_is_first : {false, true}) {
        CAPTURE(holder_is_first);
        Profile p;
        const std::uint8_t first = p.add_remote(Protocol::nec, 4, 1);
        const std::uint8_t second = p.add_remote(Protocol::nec, 4, 2);
        const std::uint8_t holder = holder_is_first ? first : second;
        const std::uint8_t other = holder_is_first ? second : first;
        p.mode_count = 2;
        p.rules[0].holdover_ms = 400;
        p.assign(0, holder, mode(ModeStyle::while_held, 1));
        p.assign(0, other, tap_key(0x04));
        p.assign(1, other, tap_key(0x05));
        Rig rig(p);
        rig.send(make_ir_frame(Protocol::nec, 4, holder_is_first ? 1 : 2));
        rig.run(150);
        rig.send(make_ir_frame(Protocol::nec, 4, holder_is_first ? 2 : 1));
        rig.run(700);
        CHECK(rig.typed() == "04");
    }
}

TEST_CASE("infrared: a frame's event has its protocol, its code and the end of its last mark") {
    Remote12 r(Protocol::nec);
    Rig rig(r.p);
    const std::uint32_t from = rig.now_us();
    const std::uint32_t length = rig.send(make_ir_frame(Protocol::nec, 4, 2));
    rig.run(300);
    const std::vector<Event> frames = rig.of(EventKind::ir_frame);
    REQUIRE(frames.size() == 1);
    CHECK(int{frames[0].data[0]} == static_cast<int>(Protocol::nec));
    CHECK(int{frames[0].data[1]} == k_no_toggle);
    CHECK(get32(frames[0].data + 2) == 0x0402u);
    CHECK(frames[0].at_us == from + length);
    rig.moved();
}

TEST_CASE("infrared: a NEC repeat frame is told as a repeat and holds the button that was heard before") {
    Remote12 r(Protocol::nec);
    Rig rig(r.p);
    hold(rig, make_ir_frame(Protocol::nec, 4, 1), 3);
    rig.run(300);
    const std::vector<Event> frames = rig.of(EventKind::ir_frame);
    REQUIRE(frames.size() == 3);
    CHECK(int{frames[2].data[0]} == (static_cast<int>(Protocol::nec) | 0x80));
    CHECK(rig.typed() == "04");
}

TEST_CASE(
    "infrared: a tap of one NEC frame moves 1 count; held for 8 frames it travels past its delay of 300 ms") {
    Remote12 r(Protocol::nec);
    Rig rig(r.p);
    hold(rig, make_ir_frame(Protocol::nec, 4, 2), 1);
    rig.run(500);
    CHECK(rig.moved() == "1 0");
    hold(rig, make_ir_frame(Protocol::nec, 4, 2), 8);
    rig.run(500);
    CHECK(rig.computer.x > 300);
    rig.moved();
}

TEST_CASE("infrared: a lost repeat is told and the hold goes on, with a holdover of 250 ms") {
    Remote12 r(Protocol::nec);
    r.p.rules[0].holdover_ms = 250;
    Rig rig(r.p);
    hold(rig, make_ir_frame(Protocol::nec, 4, 1), 3);
    rig.run(108);
    IrFrame repeat = make_ir_frame(Protocol::nec, 4, 1);
    repeat.repeat = true;
    hold(rig, repeat, 2);
    rig.run(500);
    CHECK(rig.typed() == "04");
    REQUIRE(rig.count(EventKind::ir_lost) == 1);
    CHECK(int{rig.of(EventKind::ir_lost)[0].data[1]} == 1);
}

TEST_CASE("infrared: a flipped RC-5 toggle 114 ms later is a second press") {
    Remote12 r(Protocol::rc5);
    r.p.assign(0, r.p.add_remote(Protocol::rc5, 4, 3), tap_key(0x06));
    Rig rig(r.p);
    IrFrame frame = make_ir_frame(Protocol::rc5, 4, 3);
    frame.toggle = 0;
    hold(rig, frame, 2);
    frame.toggle = 1;
    hold(rig, frame, 2);
    rig.run(300);
    CHECK(rig.typed() == "06 06");
}

TEST_CASE("infrared: a code that nobody has is told and does nothing") {
    Remote12 r(Protocol::nec);
    Rig rig(r.p);
    hold(rig, make_ir_frame(Protocol::nec, 99, 1), 3);
    hold(rig, make_ir_frame(Protocol::sirc12, 4, 1), 3);
    rig.run(300);
    CHECK(rig.count(EventKind::ir_frame) == 6);
    CHECK(rig.count(EventKind::level) == 0);
}

TEST_CASE("infrared: 9 edges in one tick are noise, told with their number; 8 are not") {
    Remote12 r(Protocol::nec);
    Rig rig(r.p);
    for (std::uint32_t i = 0; i < 9; ++i) rig.edge(0, i % 2 == 0, 50 + 100 * i);
    rig.run(1);
    REQUIRE(rig.count(EventKind::ir_noise) == 1);
    CHECK(int{rig.of(EventKind::ir_noise)[0].data[0]} == 9);
    rig.edge(0, false, 100);
    rig.run(20);
    rig.forget_events();
    for (std::uint32_t i = 0; i < 8; ++i) rig.edge(0, i % 2 == 0, 50 + 100 * i);
    rig.run(1);
    CHECK(rig.count(EventKind::ir_noise) == 0);
    rig.run(20);
}

TEST_CASE("infrared: noise in the middle of a frame loses that frame, the next one is heard") {
    Remote12 r(Protocol::nec);
    Rig rig(r.p);
    rig.send(make_ir_frame(Protocol::nec, 4, 1));
    rig.run(30);
    for (std::uint32_t i = 0; i < 12; ++i) rig.edge(0, i % 2 == 0, 20 + 20 * i);
    rig.run(200);
    CHECK(rig.typed() == "");
    CHECK(rig.count(EventKind::ir_noise) == 1);
    hold(rig, make_ir_frame(Protocol::nec, 4, 1), 2);
    rig.run(300);
    CHECK(rig.typed() == "04");
}

TEST_CASE("infrared: a frame after a silence of 2^32 us and 2 ms, where the clock has come round, is heard") {
    Remote12 r(Protocol::nec);
    Rig rig(r.p, 0xFFFFFFFFu - 400000u);  // the clock also wraps 400 ms after power-up, in the first hold
    hold(rig, make_ir_frame(Protocol::nec, 4, 1), 6);
    rig.run(300);
    CHECK(rig.typed() == "04");
    const std::uint32_t last_edge_us = rig.of(EventKind::edge).back().at_us;
    rig.run(60000);
    rig.forget_events();
    while (rig.now_us() - last_edge_us > 2500u || rig.now_us() - last_edge_us < 1500u) rig.run(1);
    hold(rig, make_ir_frame(Protocol::nec, 4, 1), 2);
    rig.run(300);
    CHECK(rig.typed() == "04");
}

TEST_CASE("infrared: a train that no protocol knows is a button by its signature") {
    // 13 widths of our own; what its signature is, the first train tells.
    const std::uint32_t widths[] = {3000, 1500, 400, 800, 400, 2000, 400, 800, 400, 2000, 400, 800, 400};
    const auto send = [&](Rig& rig) {
        std::uint32_t at = 100;
        bool is_mark = true;
        for (const std::uint32_t width : widths) {
            rig.edge(0, is_mark, at);
            at += width;
            is_mark = !is_mark;
        }
        rig.edge(0, false, at);
        rig.run(100);
    };
    Profile p;
    p.add_switch(1);
    std::uint32_t signature = 0;
    {
        Rig rig(p);
        send(rig);
        REQUIRE(rig.count(EventKind::ir_frame) == 1);
        const Event frame = rig.of(EventKind::ir_frame)[0];
        CHECK(int{frame.data[0]} == static_cast<int>(Protocol::unknown));
        signature = get32(frame.data + 2);
    }
    p.inputs.push_back({Source::infrared_last, 0, signature});
    p.assign(0, 1, tap_key(0x04));
    Rig rig(p);
    send(rig);
    rig.run(400);
    send(rig);
    rig.run(400);
    CHECK(rig.typed() == "04 04");
}
