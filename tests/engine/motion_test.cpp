// First step, delay, travel, stop, directions, scale and jumps of one Motion, by numbers that can be checked
// by hand.

#include <doctest/doctest.h>

#include <cmath>

#include "tests/engine/motion_rig.hpp"

namespace motion_test {

namespace {
const Travel k_walk{.delay_ms = 200, .first_step = 3, .points = flat(k_one / 2)};  // 500 counts a second
}

TEST_CASE("motion: a press moves its first step of 3 counts in its own tick, in each straight direction") {
    for (int d = 0; d < 8; d += 2) {
        CAPTURE(d);
        Rig rig{k_walk};
        rig.press(1, k_all[d]);
        CHECK(rig.tick() == Counts{3 * k_x[d], 3 * k_y[d]});
        CHECK(rig.run(199) == Counts{});
        rig.lift(1);
        CHECK(rig.run(1000) == Counts{});
        CHECK(rig.motion.is_still());
    }
}

TEST_CASE("motion: travel begins at the delay of 200 ms, not one ms before, and gives 500 counts a second") {
    Rig rig{k_walk};
    rig.press(1, Direction::right);
    CHECK(rig.run(200) == Counts{3, 0});
    CHECK(rig.tick() == Counts{1, 0});  // half a count is owed: the nearest whole one
    CHECK(rig.run(999) == Counts{499, 0});
    rig.lift(1);
    CHECK(rig.run(50) == Counts{});
}

TEST_CASE("motion: after the last release not one count comes, at 16 counts a ms as at 0.01") {
    for (const uint32_t speed : {655u, k_one / 3, 16 * k_one}) {
        CAPTURE(speed);
        Rig rig{Travel{.points = flat(speed)}};
        for (uint32_t ms = 1; ms < 80; ++ms) {
            rig.press(1, Direction::down_left);
            rig.run(ms);
            rig.lift(1);
            CHECK(rig.run(300) == Counts{});
            CHECK(rig.motion.is_still());
        }
    }
}

TEST_CASE("motion: a press that begins and ends between two ticks still gives its first step, once") {
    Rig rig{k_walk};
    rig.press(1, Direction::left);
    rig.lift(1);
    CHECK_FALSE(rig.motion.is_still());
    CHECK(rig.tick() == Counts{-3, 0});
    CHECK(rig.run(500) == Counts{});
    CHECK(rig.motion.is_still());
}

TEST_CASE("motion: a first step of 0 counts gives nothing before the delay") {
    Rig rig{Travel{.delay_ms = 50, .first_step = 0, .points = flat(k_one)}};
    rig.press(1, Direction::up);
    rig.lift(1);
    rig.press(2, Direction::right);
    CHECK(rig.run(50) == Counts{});
    CHECK(rig.run(10) == Counts{10, 0});
}

TEST_CASE("motion: a ramp of 8 s from 0 to 8 counts a ms covers the sum of its table, 31,996 counts") {
    Rig rig{Travel{.first_step = 0, .ramp_ms = 8000, .points = line(0, 8 * k_one)}};
    rig.press(1, Direction::right);
    // 0 + 1 + ... + 7999 thousandths of a count = 31,996 counts exactly.
    CHECK(rig.run(8000) == Counts{31996, 0});
    CHECK(rig.run(1000) == Counts{8000, 0});
}

TEST_CASE("motion: a table that falls slows down") {
    Rig rig{Travel{
        .first_step = 0,
        .ramp_ms = 800,
        .points = {8 * k_one, 7 * k_one, 6 * k_one, 5 * k_one, 4 * k_one, 3 * k_one, 2 * k_one, k_one, 0}}};
    rig.press(1, Direction::up);
    CHECK(rig.run(800) == Counts{0, -3204});  // the mean of 8 and 0.01 counts a ms, 800 times
    CHECK(rig.run(5000) == Counts{});
    CHECK(rig.motion.is_holding());
}

TEST_CASE("motion: ramps of 0 to 9 ms, shorter than the table has points, end at the last point") {
    for (uint16_t ramp = 0; ramp < 10; ++ramp) {
        CAPTURE(ramp);
        Rig rig{Travel{.first_step = 0, .ramp_ms = ramp, .points = line(0, 8 * k_one)}};
        rig.press(1, Direction::right);
        rig.run(ramp);
        CHECK(rig.run(10) == Counts{80, 0});
    }
}

TEST_CASE("motion: opposites cancel, and the ramp waits while they do") {
    Rig rig{Travel{.first_step = 0, .ramp_ms = 800, .points = line(0, 8 * k_one)}};
    Rig alone{Travel{.first_step = 0, .ramp_ms = 800, .points = line(0, 8 * k_one)}};
    rig.press(1, Direction::right);
    alone.press(1, Direction::right);
    const Counts before = rig.run(300);
    CHECK(before == alone.run(300));
    rig.press(2, Direction::left);
    CHECK(rig.run(5000) == Counts{});
    rig.lift(2);
    CHECK(rig.run(700) == alone.run(700));
}

TEST_CASE("motion: all 64 pairs of directions travel along the signs of their sum") {
    for (int a = 0; a < 8; ++a) {
        for (int b = 0; b < 8; ++b) {
            CAPTURE(a);
            CAPTURE(b);
            Rig rig{Travel{.first_step = 0, .points = flat(k_one)}};
            rig.press(1, k_all[a]);
            rig.press(2, k_all[b]);
            const Counts moved = rig.run(1000);
            const int sx = (k_x[a] + k_x[b] > 0) - (k_x[a] + k_x[b] < 0);
            const int sy = (k_y[a] + k_y[b] > 0) - (k_y[a] + k_y[b] < 0);
            const int length = sx != 0 && sy != 0 ? 707 : 1000;
            CHECK(moved == Counts{sx * length, sy * length});
        }
    }
}

TEST_CASE(
    "motion: a diagonal is as long as a straight line within 1 % after 100 counts, by one press or two") {
    for (const uint32_t speed : {k_one / 10, k_one / 2, k_one, 7 * k_one}) {
        for (int d = 1; d < 8; d += 2) {
            CAPTURE(speed);
            CAPTURE(d);
            const Travel set{.points = flat(speed)};
            Rig one{set}, two{set};
            one.press(1, k_all[d]);
            two.press(1, k_all[d - 1]);
            two.press(2, k_all[(d + 1) % 8]);
            for (int ms = 1; ms < 4000; ++ms) {
                one.tick();
                two.tick();
                const double line = 1.0 + ms * (speed / 65536.0);  // what a straight press travels, unrounded
                const double x = static_cast<double>(one.total.x), y = static_cast<double>(one.total.y);
                REQUIRE(two.total == one.total);
                REQUIRE(std::abs(x) == std::abs(y));
                if (line >= 100) REQUIRE(std::abs(std::hypot(x, y) - line) <= 0.01 * line);
            }
        }
    }
}

TEST_CASE(
    "motion: a first step of 10 is 7 counts an axis on a diagonal, by one press or by two in one tick") {
    Rig one{Travel{.delay_ms = 500, .first_step = 10}}, two{Travel{.delay_ms = 500, .first_step = 10}};
    one.press(1, Direction::up_right);
    CHECK(one.run(100) == Counts{7, -7});
    two.press(1, Direction::up);
    two.press(2, Direction::right);
    CHECK(two.run(100) == Counts{7, -7});
}

TEST_CASE("motion: a first step of 1 moves a diagonal tap by 1 count on each axis") {
    Rig rig{Travel{.delay_ms = 500}};
    for (int d = 0; d < 8; ++d) CHECK(rig.hold(k_all[d], 60) == Counts{k_x[d], k_y[d]});
}

TEST_CASE("motion: a direction that joins before travel takes its own first step, during travel one count") {
    Rig rig{Travel{.delay_ms = 100, .first_step = 5, .points = flat(k_one)}};
    rig.press(1, Direction::right);
    CHECK(rig.run(50) == Counts{5, 0});
    rig.press(2, Direction::down);
    CHECK(rig.run(50) == Counts{0, 5});
    rig.lift(2);
    CHECK(rig.run(100) == Counts{100, 0});
    rig.press(2, Direction::down);
    CHECK(rig.tick() == Counts{1, 2});  // its count, and the ms's 0.71 rounded
    CHECK(rig.run(999) == Counts{706, 706});
}

TEST_CASE("motion: a direction added at 400 ms keeps the ramp's time, and so does the one that stays") {
    const Travel set{.first_step = 0, .ramp_ms = 800, .points = line(0, 8 * k_one)};
    Rig rig{set}, alone{set};
    rig.press(1, Direction::right);
    alone.press(1, Direction::right);
    rig.run(400);
    alone.run(400);
    rig.press(2, Direction::down);
    const Counts both = rig.run(200);
    const Counts straight = alone.run(200);
    CHECK(std::abs(static_cast<double>(both.x) - static_cast<double>(straight.x) * std::sqrt(0.5)) <= 1.0);
    rig.lift(1);
    const Counts down = rig.run(400);
    CHECK(down.x == 0);
    CHECK(std::abs(down.y - alone.run(400).x) <= 1);
}

TEST_CASE("motion: a scale of 500 permille halves a hold, 4000 makes it four times as long, 1000 is exact") {
    for (const uint16_t permille : std::initializer_list<uint16_t>{50, 333, 500, 1000, 2000, 4000}) {
        CAPTURE(permille);
        Rig rig{Travel{.first_step = 0, .points = flat(k_one * 3 / 4)}};
        rig.motion.set_scale(permille);
        CHECK(rig.motion.scale() == permille);
        rig.press(1, Direction::left);
        CHECK(rig.run(4000) == Counts{-3 * permille, 0});
    }
}

TEST_CASE("motion: the scale stays within 50 and 4000 permille") {
    Rig rig{k_walk};
    rig.motion.set_scale(49);
    CHECK(rig.motion.scale() == 50);
    rig.motion.set_scale(4001);
    CHECK(rig.motion.scale() == 4000);
    rig.motion.stop();
    CHECK(rig.motion.scale() == 4000);
    rig.motion.reset();
    CHECK(rig.motion.scale() == 1000);
}

TEST_CASE("motion: at a scale of 50 permille a tap of 1 still moves 1 count, and a hold pays it back") {
    Rig rig{Travel{.delay_ms = 100, .points = flat(k_one)}};
    rig.motion.set_scale(50);
    for (int i = 0; i < 20; ++i) CHECK(rig.hold(Direction::right, 60) == Counts{1, 0});
    CHECK(rig.hold(Direction::right, 1100) == Counts{50, 0});  // 0.05 + 50 exactly
}

TEST_CASE("motion: jumps are exact at any scale, over 16 bits in later ticks, and both axes on a diagonal") {
    Rig rig{k_walk};
    rig.motion.set_scale(250);
    rig.motion.jump(Direction::right, 32767);
    CHECK(rig.tick() == Counts{32767, 0});
    CHECK(rig.tick() == Counts{});
    rig.motion.jump(Direction::up_left, 40000);
    rig.motion.jump(Direction::up, 30000);
    CHECK(rig.tick() == Counts{-32767, -32767});
    CHECK_FALSE(rig.motion.is_still());
    CHECK(rig.tick() == Counts{-7233, -32767});
    CHECK(rig.tick() == Counts{0, -4466});
    CHECK(rig.motion.is_still());
}

TEST_CASE("motion: stop ends holds and jumps at once") {
    Rig rig{k_walk};
    rig.press(1, Direction::right);
    rig.run(500);
    rig.motion.jump(Direction::right, 60000);
    rig.motion.stop();
    CHECK(rig.motion.is_still());
    CHECK(rig.run(500) == Counts{});
}

TEST_CASE(
    "motion: six directions are held at once, a seventh is ignored, unknown inputs and sets do nothing") {
    Rig rig{Travel{.first_step = 0, .points = flat(k_one)}};
    for (uint8_t i = 0; i < 6; ++i) rig.press(i, Direction::right);
    rig.press(6, Direction::down);
    rig.press(7, Direction::down, 1);
    rig.lift(200);
    rig.hear(200);
    CHECK(rig.run(100) == Counts{100, 0});
    for (uint8_t i = 0; i < 6; ++i) {
        CHECK(rig.motion.is_holding());
        rig.lift(i);
    }
    CHECK(rig.motion.is_still());
    rig.press(7, Direction::down, 1);
    CHECK(rig.motion.is_still());
}

TEST_CASE("motion: an input that holds already and begins anew holds once, in the new direction") {
    Rig rig{Travel{.first_step = 0, .points = flat(k_one)}};
    rig.press(1, Direction::right);
    rig.run(10);
    rig.press(1, Direction::up);
    CHECK(rig.run(10) == Counts{0, -10});
    rig.lift(1);
    CHECK(rig.run(10) == Counts{});
}

TEST_CASE(
    "motion: the oldest press says by which set the hold travels, the next one takes over with the ramp's "
    "time") {
    Rig rig{Travel{.first_step = 0, .points = flat(k_one)},
            Travel{.first_step = 0, .ramp_ms = 800, .points = line(0, 8 * k_one)}};
    rig.press(1, Direction::right, 1);
    rig.run(400);
    rig.press(2, Direction::right, 0);
    CHECK(rig.run(100) == Counts{450, 0});  // set 1 from 4.00 to 4.99 counts a ms: 449.5
    rig.lift(1);
    CHECK(rig.run(100) == Counts{100, 0});  // set 0
    rig.press(3, Direction::right, 1);
    rig.lift(2);
    CHECK(rig.run(1) == Counts{5, 0});      // set 0 has no ramp: time stood at 500 ms
    CHECK(rig.run(100) == Counts{550, 0});  // 5.01 to 6.00: 550.5, half a count was ahead
}

TEST_CASE(
    "motion: holds just below half a count give 0 each time: nothing is left over from the one before") {
    // In 1/65536 count a ms: 32,767; 46,336 along a diagonal (127.99 of 256 parts an axis); 65,280 * 0.501.
    Rig straight{Travel{.first_step = 0, .points = flat(32767)}};
    Rig diagonal{Travel{.first_step = 0, .points = flat(46336)}};
    Rig scaled{Travel{.first_step = 0, .points = flat(65280)}};
    scaled.motion.set_scale(501);
    for (int i = 0; i < 5; ++i) {
        CHECK(straight.hold(Direction::right, 1) == Counts{});
        CHECK(diagonal.hold(Direction::up_right, 1) == Counts{});
        CHECK(scaled.hold(Direction::right, 1) == Counts{});
    }
}

TEST_CASE(
    "motion: a set that takes over in the middle of a segment, at 450 of 800 ms, goes on from its speed "
    "there") {
    Rig rig{Travel{.first_step = 0, .ramp_ms = 800, .points = line(0, 4 * k_one)},
            Travel{.first_step = 0, .ramp_ms = 800, .points = line(0, 8 * k_one)}};
    rig.press(1, Direction::right, 0);
    rig.run(400);
    rig.press(2, Direction::right, 1);
    rig.run(50);
    rig.lift(1);
    CHECK(std::abs(rig.run(50).x - 237) <= 1);    // 4.50 to 4.99 counts a ms: 237.25
    CHECK(std::abs(rig.run(300).x - 1949) <= 1);  // 5.00 to 7.99: 1948.5
    CHECK(rig.run(100) == Counts{800, 0});
}

TEST_CASE("motion: a ramp of 65,535 ms from a damaged image is one of 20,000 ms, the longest there is") {
    Rig damaged{Travel{.first_step = 0, .ramp_ms = 65535, .points = line(0, 8 * k_one)}};
    Rig longest{Travel{.first_step = 0, .ramp_ms = 20000, .points = line(0, 8 * k_one)}};
    damaged.press(1, Direction::right);
    longest.press(1, Direction::right);
    for (int s = 0; s < 70; ++s) REQUIRE(damaged.run(1000) == longest.run(1000));
    CHECK(longest.run(10) == Counts{80, 0});
}

}  // namespace motion_test
