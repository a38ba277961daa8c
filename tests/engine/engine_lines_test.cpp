// Switch lines and axes to levels, edges of all kinds.

#include <doctest/doctest.h>

#include "tests/engine/rig.hpp"

using namespace fettle::engine;
using namespace fettle::engine::testing;

TEST_CASE("lines: a switch that closes to low works like one that closes to high") {
    Profile p;
    const auto high = p.add_switch(3);
    const auto low = p.add_switch(4, 0, true);
    p.assign(0, high, tap_key(0x04));
    p.assign(0, low, tap_key(0x05));
    Rig rig(p);
    rig.edge(4, true);
    rig.run(20);
    CHECK(rig.engine.state().inputs_down == 0);
    rig.edge(4, false);
    rig.run(20);
    CHECK(rig.engine.state().inputs_down == (1u << low));
    rig.edge(4, true);
    rig.press(high, 20);
    rig.run(20);
    CHECK(rig.typed() == "05 04");
    CHECK(rig.count(EventKind::level, low, 1) == 1);
    CHECK(rig.count(EventKind::level, low, 0) == 1);
}

TEST_CASE("lines: two inputs on one line, one for each side, are down in turn") {
    Profile p;
    const auto closed = p.add_switch(1);
    const auto opened = p.add_switch(1, 0, true);
    p.assign(0, closed, tap_key(0x04));
    p.assign(0, opened, tap_key(0x05));
    Rig rig(p);
    rig.edge(1, true);
    rig.run(20);
    rig.edge(1, false);
    rig.run(20);
    rig.edge(1, true);
    rig.run(20);
    CHECK(rig.typed() == "04 05 04");
    // One of the two is always down: the end is checked here.
    rig.is_end_checked = false;
    CHECK_FALSE(rig.computer.holds_anything());
    CHECK(rig.engine.state().inputs_down == (1u << closed));
}

TEST_CASE("lines: edges of lines 9 and 255 change nothing but are told") {
    Profile p;
    p.assign(0, p.add_switch(1), tap_key(0x04));
    Rig rig(p);
    rig.edge(9, true);
    rig.edge(255, true);
    rig.run(20);
    CHECK(rig.count(EventKind::edge) == 2);
    CHECK(rig.engine.state().inputs_down == 0);
}

TEST_CASE("lines: down and up within one millisecond is no press, but both edges are told with their times") {
    Profile p;
    const auto in = p.add_switch(1);
    p.assign(0, in, tap_key(0x04));
    Rig rig(p);
    rig.edge(1, true, 200);
    rig.edge(1, false, 700);
    rig.run(20);
    CHECK(rig.typed() == "");
    const std::vector<Event> edges = rig.of(EventKind::edge);
    REQUIRE(edges.size() == 2);
    CHECK(edges[1].at_us - edges[0].at_us == 500);
}

TEST_CASE("lines: 40 edges in one tick keep the last level, tell 16 and count 24") {
    Profile p;
    const auto in = p.add_switch(1);
    p.assign(0, in, hold_key(0x04));
    Rig rig(p);
    for (std::uint32_t i = 0; i < 39; ++i) rig.edge(1, i % 2 == 0, 10 + i);
    rig.edge(1, false, 900);
    rig.run(1);
    CHECK(rig.count(EventKind::edge) == 16);
    REQUIRE(rig.count(EventKind::ir_noise) == 1);
    CHECK(int{rig.of(EventKind::ir_noise)[0].data[0]} == 24);
    rig.run(20);
    CHECK(rig.typed() == "");
}

TEST_CASE("axes: a stick is down at 128 of 255 and up again at 64, in permille 502 and 250") {
    Profile p;
    const auto right = p.add_axis(0, false, 128, 64);
    const auto left = p.add_axis(0, true, 128, 64);
    p.assign(0, right, tap_key(0x04));
    p.assign(0, left, tap_key(0x05));
    Rig rig(p);
    const auto at = [&](std::int16_t permille, std::uint32_t down) {
        CAPTURE(permille);
        rig.axis(0, permille);
        rig.run(3);
        CHECK(rig.engine.state().inputs_down == down);
    };
    const std::uint32_t r = 1u << right;
    const std::uint32_t l = 1u << left;
    at(501, 0);
    at(502, r);
    at(300, r);
    at(255, r);
    at(250, 0);
    at(501, 0);
    at(-501, 0);
    at(-502, l);
    at(-255, l);
    at(-250, 0);
    at(1000, r);
    at(-1000, l);
    at(0, 0);
    CHECK(rig.typed() == "04 05 04 05");
}

TEST_CASE("axes: sip and puff are the two sides of axis 2, full deflection is 255") {
    Profile p;
    const auto puff = p.add_axis(2, false, 255, 200);
    const auto sip = p.add_axis(2, true, 30, 10);
    p.assign(0, puff, tap_key(0x04));
    p.assign(0, sip, tap_key(0x05));
    Rig rig(p);
    rig.axis(2, 999);
    rig.run(3);
    CHECK(rig.engine.state().inputs_down == 0);
    rig.axis(2, 1000);
    rig.run(3);
    rig.axis(2, -120);
    rig.run(3);
    rig.axis(2, 0);
    rig.run(3);
    CHECK(rig.typed() == "04 05");
}

TEST_CASE("axes: noise of 20 permille around the threshold is one press with hysteresis") {
    Profile p;
    const auto in = p.add_axis(1, false, 128, 100);
    p.assign(0, in, tap_key(0x04));
    Rig rig(p);
    for (int i = 0; i < 200; ++i) {
        rig.axis(1, static_cast<std::int16_t>(i % 2 == 0 ? 512 : 492));
        rig.run(1);
    }
    rig.axis(1, 0);
    rig.run(20);
    CHECK(rig.typed() == "04");
}
