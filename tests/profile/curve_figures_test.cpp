// Figures of a motion, against numbers that can be worked out by hand from its settings.

#include "core/profile/curve_figures.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace fettle::profile;
using fettle::engine::Direction;

namespace {

// 1 count at once, 300 ms, then 600 counts/s without a ramp.
Motion even(int first_step = 1) {
    Travel travel;
    travel.first_step_counts = first_step;
    travel.ramp_ms = 0;
    travel.speed = SpeedShape{600, 600, 1000};
    return {"even", travel};
}

}  // namespace

TEST_CASE(
    "figures: 1 step, 300 ms, 600 counts/s on a switch: tap 1, holds 121, 421, 1021, 1920 counts in 3498 "
    "ms") {
    const auto setup = motion_setup(even());
    const MotionFigures figures = motion_figures(setup, 0, switch_source());
    CHECK(figures.tap_counts == 1);
    CHECK(figures.smallest_counts == 1);
    CHECK(figures.holds[0].counts == 121);  // 1 + 200 ms of 0.6
    CHECK(figures.holds[1].counts == 421);
    CHECK(figures.holds[2].counts == 1021);
    CHECK(figures.holds[2].released_ms == 2000);
    CHECK(figures.holds[2].still_ms == 2000);
    // 1919 counts at 0.6 a ms are 3198.3 ms; the last one comes half a count early.
    REQUIRE(figures.crossing_ms.has_value());
    CHECK(std::abs(static_cast<int>(*figures.crossing_ms) - 3498) <= 1);
    REQUIRE(figures.speeds.size() == 5);
    CHECK(std::abs(figures.speeds[0].counts_per_s - 300) <= 10);  // 250 to 350 ms: half of it travels
    for (size_t i = 1; i < 5; ++i) CHECK(std::abs(figures.speeds[i].counts_per_s - 600) <= 10);
}

TEST_CASE("figures: on a switch the pointer is still when the finger is up, with no count after it") {
    const MotionFigures figures = motion_figures(motion_setup(even()), 0, switch_source());
    CHECK(figures.stop == StopFigure{.finger_up_ms = 1000});
    for (const auto& hold : figures.holds) CHECK(hold.counts_after_up == 0);
}

TEST_CASE(
    "figures: NEC with a holdover of 130 ms stops 34 to 142 ms after the finger, 21 to 85 counts too far") {
    const auto setup = motion_setup(even());
    const MotionFigures figures = motion_figures(setup, 0, infrared_source(130, 108, 12));
    // The last frame ended up to 96 ms before the finger lifts (108 less the 12 of one that is finished), or
    // up to 12 ms after: 130 - 96 and 130 + 12 ms. A count comes each 1.67 ms.
    CHECK(std::abs(static_cast<int>(figures.stop.least_still_ms) - 34) <= 2);
    CHECK(std::abs(static_cast<int>(figures.stop.most_still_ms) - 142) <= 2);
    CHECK(std::abs(static_cast<int>(figures.stop.least_counts) - 21) <= 1);
    CHECK(std::abs(static_cast<int>(figures.stop.most_counts) - 85) <= 1);
    CHECK(figures.tap_counts == 1);
    CHECK(figures.smallest_counts == 1);
}

TEST_CASE("figures: an infrared hold travels from the first repeat at or after 300 ms, the third at 324 ms") {
    const auto setup = motion_setup(even());
    const HoldFigure hold = run_hold(setup, 0, Direction::right, infrared_source(130, 108, 12), 1000);
    // Frames end at 0, 108 ... 972 ms; the next one would begin at 1068 - too late. Release at 972 + 130 =
    // 1102 ms.
    CHECK(hold.released_ms == 1102);
    CHECK(hold.counts == 1 + 467);  // 778 ms of 0.6: 466.8
    CHECK(hold.counts_after_up == 61);
    CHECK(std::abs(static_cast<int>(hold.still_ms) - 1102) <= 1);
}

TEST_CASE(
    "figures: a holdover of 50 ms, shorter than the period of 108 ms, cuts a hold of 1 s into taps of 1 "
    "count") {
    const auto setup = motion_setup(even());
    const HoldFigure hold = run_hold(setup, 0, Direction::left, infrared_source(50, 108, 12), 1000);
    CHECK(hold.counts == 10);  // frames at 0, 108 ... 972
    CHECK(hold.released_ms == 972 + 50);
}

TEST_CASE("figures: a first step of 0 and a tap shorter than the delay move nothing") {
    const MotionFigures figures = motion_figures(motion_setup(even(0)), 0, switch_source());
    CHECK(figures.tap_counts == 0);
    CHECK(figures.smallest_counts == 0);
}

TEST_CASE("figures: at 10 counts/s a screen of 1920 counts is not crossed within a minute") {
    Motion slow = even();
    std::get<Travel>(slow.family).speed = SpeedShape{10, 10, 1000};
    CHECK_FALSE(motion_figures(motion_setup(slow), 0, switch_source()).crossing_ms.has_value());
}

TEST_CASE("figures: the MouseKeys defaults cover 390 counts in 1321 ms and 1920 with the event at 3360 ms") {
    const Motion motion{"keys", MouseKeys{.moves = MouseKeysShape{}}};
    const auto setup = motion_setup(motion);
    // Source of 390: X Keyboard Extension, MouseKeysAccel (see curve_test.cpp).
    CHECK(run_hold(setup, 0, Direction::up, switch_source(), 1321).counts == 390);
    // 1530 more are 51 events of 30, 40 ms apart, after the one at 1320 ms.
    CHECK(motion_figures(setup, 0, switch_source()).crossing_ms == 1320 + 51 * 40 + 1);
}

TEST_CASE("figures: the path ends where the hold of the same time stands, and never runs back") {
    const auto setup = motion_setup(even());
    const auto path = run_path(setup, 0, switch_source(), 2000);
    REQUIRE(path.size() == 2000);
    CHECK(path.back() == run_hold(setup, 0, Direction::down, switch_source(), 2000).counts);
    for (size_t i = 1; i < path.size(); ++i) REQUIRE(path[i] >= path[i - 1]);
}

TEST_CASE("figures: a motion whose moves cannot be compiled moves nothing") {
    const Motion motion{"none", MouseKeys{.moves = MouseKeysShape{0, 30, 30, 0}}};
    const MotionFigures figures = motion_figures(motion_setup(motion), 0, switch_source());
    CHECK(figures.tap_counts == 0);
    CHECK_FALSE(figures.crossing_ms.has_value());
}
