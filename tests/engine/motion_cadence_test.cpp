// Cadence and the rule for infrared presses.

#include <doctest/doctest.h>

#include <cmath>

#include "tests/engine/motion_model.hpp"

namespace motion_test {

namespace {

const Travel k_eager{
    .delay_ms = 100, .first_step = 4, .window_ms = 400, .gain_permille = 3000, .points = flat(k_one / 2)};

/// A tap of 50 ms, and the next press `gap` ms after this one began.
Counts tap(Rig& rig, Direction d, uint32_t gap) {
    return rig.hold(d, 50, gap - 50);
}

}  // namespace

TEST_CASE(
    "cadence: gain 3 and window 400 ms: a tap 100 ms after another has gain 2.5, 200 ms gain 2, 400 ms "
    "none") {
    for (const auto& [gap_ms, counts] :
         {std::pair{100u, 10}, {200u, 8}, {300u, 6}, {399u, 4}, {400u, 4}, {1500u, 4}}) {
        const unsigned gap = gap_ms;  // clang 14 captures no structured binding
        CAPTURE(gap);
        Rig rig{k_eager};
        CHECK(tap(rig, Direction::right, gap) == Counts{4, 0});
        CHECK(tap(rig, Direction::right, 1000) == Counts{counts, 0});
        CHECK(tap(rig, Direction::right, 1000) == Counts{4, 0});
    }
}

TEST_CASE("cadence: a hold that follows a tap by 200 ms travels twice as fast to its end") {
    Rig rig{k_eager};
    tap(rig, Direction::up, 200);
    rig.press(1, Direction::up);
    CHECK(rig.run(100) == Counts{0, -8});
    CHECK(rig.run(2000) == Counts{0, -2000});
    rig.lift(1);
    CHECK(rig.run(500) == Counts{});
}

TEST_CASE("cadence: tapping the other way, or another way, starts at gain 1") {
    for (const Direction d : {Direction::left, Direction::up, Direction::down}) {
        Rig rig{k_eager};
        tap(rig, Direction::right, 100);
        const Counts moved = tap(rig, d, 1000);
        CHECK(std::abs(moved.x + moved.y) == 4);
    }
}

TEST_CASE("cadence: after a hold that another direction joined, and for a joining press, the gain is 1") {
    Rig rig{k_eager};
    rig.press(1, Direction::right);
    rig.run(10);
    rig.press(2, Direction::right);
    CHECK(rig.run(10) == Counts{4, 0});
    rig.lift(1);
    rig.lift(2);
    rig.run(80);
    CHECK(tap(rig, Direction::right, 100) == Counts{4, 0});
}

TEST_CASE("cadence: a window of 0 or a gain of 1000 permille is off") {
    Travel off = k_eager;
    off.window_ms = 0;
    Rig none{off};
    off = k_eager;
    off.gain_permille = 1000;
    Rig one{off};
    for (int i = 0; i < 5; ++i) {
        CHECK(tap(none, Direction::right, 60) == Counts{4, 0});
        CHECK(tap(one, Direction::right, 60) == Counts{4, 0});
    }
}

TEST_CASE("cadence: a press 65,636 ms after the last one, 100 ms on the wrapped clock, has gain 1") {
    Rig rig{k_eager};
    tap(rig, Direction::right, 65636);
    CHECK(tap(rig, Direction::right, 1000) == Counts{4, 0});
}

TEST_CASE(
    "cadence: motion is still at once after a tap, and idle when 2,000 ms have passed since its press") {
    Rig rig{k_eager};
    CHECK(rig.motion.is_idle());
    tap(rig, Direction::right, 100);
    CHECK(rig.motion.is_still());
    rig.run(1900);
    CHECK_FALSE(rig.motion.is_idle());
    rig.run(2);
    CHECK(rig.motion.is_idle());
}

TEST_CASE("cadence: with any gap the counts of a hold are the exact sum with the stated gain, within 1") {
    for (uint32_t gap = 60; gap < 400; gap += 7) {
        CAPTURE(gap);
        Travel set = k_eager;
        set.ramp_ms = 900;
        set.points = line(k_one / 9, 3 * k_one);
        Rig rig{set};
        Model model{set};
        tap(rig, Direction::right, gap);
        const long double gain = std::floor(256 * (1 + 2.0L * (400 - gap) / 400)) / 256;
        const int64_t before = rig.total.x;
        rig.press(1, Direction::right);
        model.press(1, Direction::right, gain);
        for (int ms = 0; ms < 3000; ++ms) {
            rig.tick();
            model.tick(1);
            REQUIRE(std::abs(model.x - static_cast<long double>(rig.total.x - before)) <= 1);
        }
    }
}

TEST_CASE("cadence: a gain of 8 on 200 counts a ms stops at the format's end, 255.99 counts a ms") {
    Travel set = k_eager;
    set.gain_permille = 8000;
    set.points = flat(200 * k_one);
    Rig rig{set};
    tap(rig, Direction::right, 51);
    rig.press(1, Direction::right);
    rig.run(100);
    CHECK(std::abs(rig.run(1000).x - 256000) <= 1);
}

// 108 ms: the period of NEC repeats (source: the protocol's timing, as in the infrared tests).
TEST_CASE("infrared: a tap of one frame and any holdover moves its first step only") {
    Rig rig{k_eager};
    rig.press(1, Direction::right, 0, false);
    rig.hear(1);  // the frame that began the press is no repeat
    CHECK(rig.run(150) == Counts{4, 0});
    CHECK(rig.run(850) == Counts{});
    rig.lift(1);
    CHECK(rig.run(100) == Counts{});
}

TEST_CASE(
    "infrared: a repeat heard 1 ms before the delay of 100 ms is none, one at the delay begins travel") {
    Rig early{k_eager}, due{k_eager};
    early.press(1, Direction::right, 0, false);
    due.press(1, Direction::right, 0, false);
    early.run(99);
    due.run(100);
    early.hear(1);
    due.hear(1);
    CHECK(early.run(100) == Counts{});
    CHECK(due.run(100) == Counts{50, 0});
    early.hear(1);
    CHECK(early.run(100) == Counts{50, 0});
    CHECK(due.run(100) == Counts{50, 0});
}

TEST_CASE("infrared: with a delay of 0 travel still waits for a repeat") {
    Travel set = k_eager;
    set.delay_ms = 0;
    Rig rig{set};
    rig.press(1, Direction::right, 0, false);
    rig.hear(1);
    CHECK(rig.run(108) == Counts{4, 0});
    rig.hear(1);
    CHECK(rig.run(100) == Counts{50, 0});
}

TEST_CASE("infrared: a press that joins a travelling switch turns the path only after its own repeat") {
    Rig rig{k_eager};
    rig.press(1, Direction::right);
    rig.run(300);
    rig.press(2, Direction::down, 0, false);
    CHECK(rig.run(100) == Counts{50, 1});
    rig.hear(2);
    const Counts both = rig.run(1000);
    CHECK(std::abs(both.x - 353) <= 1);  // 500 / sqrt 2
    CHECK(std::abs(both.y - 353) <= 1);
    rig.lift(2);
    CHECK(rig.run(100) == Counts{50, 0});
}

}  // namespace motion_test
