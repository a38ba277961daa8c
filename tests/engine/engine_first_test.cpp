#include <doctest/doctest.h>

#include "tests/engine/rig.hpp"

using namespace fettle::engine;
using namespace fettle::engine::testing;

TEST_CASE("engine: a switch of 80 ms types its key once") {
    Profile p;
    const auto in = p.add_switch(1);
    p.assign(0, in, tap_key(0x04));
    Rig rig(p);
    rig.press(in, 80);
    CHECK(rig.typed() == "04");
}

TEST_CASE("engine: a direction of 400 ms moves 1 count at once and 100 after its delay of 300 ms") {
    Profile p;
    const auto in = p.add_switch(1);
    p.assign(0, in, move(Direction::right));
    Rig rig(p);
    rig.press(in, 400);
    rig.run(5);
    CHECK(rig.moved() == "101 0");
}
