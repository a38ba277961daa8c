// Buttons, drags, motion, scrolling, jumps and scale.

#include <doctest/doctest.h>

#include "tests/engine/rig.hpp"

using namespace fettle::engine;
using namespace fettle::engine::testing;

namespace {
struct One {
    Profile p;
    std::uint8_t in = 0;
    explicit One(const ActionDef& action) {
        in = p.add_switch(1);
        p.assign(0, in, action);
    }
};
}  // namespace

TEST_CASE("actions: a held button is down for the 400 ms of its press") {
    One one(hold_button(2));
    Rig rig(one.p);
    rig.down(one.in);
    rig.run(400);
    CHECK(int{rig.computer.buttons} == 2);
    rig.up(one.in);
    rig.run(10);
    CHECK(rig.clicked() == "2 0");
}

TEST_CASE("actions: a click has both edges at least 40 ms apart, a double click has 4 of them") {
    // Common practice: hosts drop chatter inside 25 ms (libinput documentation, button debouncing).
    for (const int count : {1, 2}) {
        CAPTURE(count);
        One one(count == 1 ? click(1) : double_click(1));
        Rig rig(one.p);
        rig.press(one.in, 20);
        rig.run(400);
        const std::vector<Clicked> edges = rig.take_clicks();
        REQUIRE(edges.size() == static_cast<std::size_t>(2 * count));
        for (std::size_t i = 0; i < edges.size(); ++i) {
            CHECK(int{edges[i].buttons} == (i % 2 == 0 ? 1 : 0));
            if (i > 0) CHECK(edges[i].ms - edges[i - 1].ms >= 40);
        }
    }
}

TEST_CASE("actions: a click between two polls 16 ms apart is never lost") {
    One one(click(1));
    Rig rig(one.p);
    rig.computer.interval_ms = 16;
    rig.press(one.in, 2);
    rig.run(300);
    CHECK(rig.clicked() == "1 0");
}

TEST_CASE("actions: a drag begins with one press and ends with the next, 2 s later") {
    One one(drag(1));
    Rig rig(one.p);
    rig.press(one.in, 50);
    rig.run(2000);
    CHECK(int{rig.computer.buttons} == 1);
    CHECK(int{rig.engine.state().held.dragged} == 1);
    rig.press(one.in, 50);
    rig.run(50);
    CHECK(rig.clicked() == "1 0");
}

TEST_CASE(
    "actions: a drag and a direction of 500 ms move with the button down, and the drag outlives the press") {
    Profile p;
    const auto dragger = p.add_switch(1);
    const auto right = p.add_switch(2);
    p.assign(0, dragger, drag(1));
    p.assign(0, right, move(Direction::right));
    Rig rig(p);
    rig.press(dragger, 50);
    rig.press(right, 500);
    rig.run(20);
    CHECK(rig.moved() == "201 0");  // 1 at once, 1 a ms from the 300th ms on
    CHECK(int{rig.computer.buttons} == 1);
    rig.press(dragger, 50);
    rig.run(20);
    CHECK(rig.clicked() == "1 0");
}

TEST_CASE("actions: each of the 8 directions takes its first step of 3 counts the right way") {
    struct {
        Direction direction;
        const char* moved;
    } const cases[] = {{Direction::up, "0 -3"},    {Direction::right, "3 0"}, {Direction::down, "0 3"},
                       {Direction::left, "-3 0"},  {Direction::up_right, ""}, {Direction::down_right, ""},
                       {Direction::down_left, ""}, {Direction::up_left, ""}};
    for (const auto& c : cases) {
        One one(move(c.direction));
        one.p.motions[0] = steady_motion(3, 300, 65536);
        Rig rig(one.p);
        rig.press(one.in, 50);
        rig.run(20);
        const long x = rig.computer.x;
        const long y = rig.computer.y;
        const std::string moved = rig.moved();
        if (*c.moved != '\0') {
            CHECK(moved == c.moved);
            continue;
        }
        const bool is_right = c.direction == Direction::up_right || c.direction == Direction::down_right;
        const bool is_down = c.direction == Direction::down_left || c.direction == Direction::down_right;
        CHECK((is_right ? x : -x) > 0);
        CHECK((is_down ? y : -y) > 0);
        CHECK(std::abs(x) == std::abs(y));
    }
}

TEST_CASE("actions: motion stops within one tick of the last up") {
    One one(move(Direction::right));
    Rig rig(one.p);
    rig.down(one.in);
    rig.run(1000);
    rig.up(one.in);
    rig.run(1);
    const std::uint32_t up_at = rig.now_ms();
    rig.run(100);
    CHECK(rig.computer.last_motion_ms <= up_at);
    rig.moved();
}

TEST_CASE(
    "actions: two directions held together go the diagonal and come back to one when the other is let go") {
    Profile p;
    const auto right = p.add_switch(1);
    const auto down = p.add_switch(2);
    p.assign(0, right, move(Direction::right));
    p.assign(0, down, move(Direction::down));
    Rig rig(p);
    rig.down(right);
    rig.run(300);
    rig.moved();
    rig.down(down);
    rig.run(1000);
    const double x = static_cast<double>(rig.computer.x);
    const double y = static_cast<double>(rig.computer.y);
    CHECK(x == doctest::Approx(707).epsilon(0.02));  // 1000 / sqrt 2
    CHECK(y == doctest::Approx(707).epsilon(0.02));
    rig.up(down);
    rig.run(2);
    rig.moved();
    rig.run(100);
    CHECK(rig.moved() == "100 0");
    rig.up(right);
    rig.run(2);
    rig.moved();
}

TEST_CASE("actions: scroll turns 2 detents up, down, right and left") {
    struct {
        Direction direction;
        const char* scrolled;
    } const cases[] = {{Direction::up, "2 0"},
                       {Direction::down, "-2 0"},
                       {Direction::right, "0 2"},
                       {Direction::left, "0 -2"}};
    for (const auto& c : cases) {
        One one(scroll(c.direction, 2));
        Rig rig(one.p);
        rig.press(one.in, 900);
        rig.run(20);
        CHECK(rig.scrolled() == c.scrolled);
    }
}

TEST_CASE("actions: scroll with repeat turns 1 detent at once and 3 more by 750 ms") {
    One one(scroll(Direction::down, 1, 1));
    Rig rig(one.p);
    rig.press(one.in, 750);
    rig.run(300);
    CHECK(rig.scrolled() == "-4 0");
}

TEST_CASE("actions: a jump of 1500 counts is exact, diagonal jumps are exact on both axes") {
    One straight(jump(Direction::left, 1500));
    Rig rig(straight.p);
    rig.press(straight.in, 700);
    rig.run(20);
    CHECK(rig.moved() == "-1500 0");
    One diagonal(jump(Direction::down_right, 32767));
    Rig other(diagonal.p);
    other.press(diagonal.in, 20);
    other.run(20);
    CHECK(other.moved() == "32767 32767");
}

TEST_CASE("actions: scale 250 permille while held makes 400 counts 100, and is over with its press") {
    Profile p;
    const auto slow = p.add_switch(1);
    const auto right = p.add_switch(2);
    p.assign(0, slow, scale(ScaleStyle::while_held, 250));
    p.assign(0, right, move(Direction::right));
    p.motions[0] = steady_motion(0, 0, 65536);
    Rig rig(p);
    rig.down(slow);
    rig.run(10);
    CHECK(rig.engine.state().scale_permille == 250);
    rig.press(right, 400);
    rig.run(10);
    const long slowly = rig.computer.x;
    CHECK(slowly >= 100);
    CHECK(slowly <= 102);
    rig.moved();
    rig.up(slow);
    rig.run(10);
    CHECK(rig.engine.state().scale_permille == 1000);
    rig.press(right, 400);
    rig.run(10);
    const long plainly = rig.computer.x;
    CHECK(plainly >= 400);
    CHECK(plainly <= 402);
    rig.moved();
    CHECK(rig.count(EventKind::scale) == 2);
}

TEST_CASE("actions: a toggled scale stays until the same one again, and a held one goes before it") {
    Profile p;
    const auto toggle = p.add_switch(1);
    const auto fast = p.add_switch(2);
    const auto slow = p.add_switch(3);
    p.assign(0, toggle, scale(ScaleStyle::toggle, 500));
    p.assign(0, fast, scale(ScaleStyle::while_held, 3000));
    p.assign(0, slow, scale(ScaleStyle::while_held, 100));
    Rig rig(p);
    const auto is = [&](int permille) { CHECK(rig.engine.state().scale_permille == permille); };
    rig.press(toggle, 20);
    is(500);
    rig.down(fast);
    rig.run(5);
    is(3000);
    rig.down(slow);
    rig.run(5);
    is(100);
    rig.up(fast);
    rig.run(5);
    is(100);
    rig.up(slow);
    rig.run(5);
    is(500);
    rig.press(toggle, 20);
    is(1000);
}
