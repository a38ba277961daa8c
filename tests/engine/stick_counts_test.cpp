// What stick.cpp makes of deflection: counts by speed, counts by steps, directions.

#include <string>
#include <vector>

#include "tests/engine/stick_rig.hpp"

namespace fettle::engine {
namespace {

using stick_test::directions;
using stick_test::k_turn;
using stick_test::Rig;
using stick_test::straight;

StickDef no_dead(StickDef def) {
    def.dead_permille = 0;
    return def;
}

TEST_CASE(
    "stick speed: at k/8 of full deflection 10 s give 10,000 times point k, on both axes and both sides") {
    StickDef def = no_dead(straight(0));
    for (unsigned k = 0; k < k_curve_points; ++k) def.points[k] = static_cast<uint16_t>(100 + 900 * k * k);
    for (int k = 1; k <= 8; ++k) {
        for (const int side : {-1, 1}) {
            Rig along_x(def), along_y(def);
            along_x.push_for(side * 125 * k, 0, 10000);
            along_y.push_for(0, side * 125 * k, 10000);
            const double exact = side * 10000.0 * def.points[k] / 65536;
            CHECK(std::abs(static_cast<double>(along_x.sum_x) - exact) <= 0.5);
            CHECK(std::abs(static_cast<double>(along_y.sum_y) - exact) <= 0.5);
            CHECK(along_x.sum_y == 0);
            CHECK(along_y.sum_x == 0);
        }
    }
}

TEST_CASE("stick speed: half way between points the speed is half way, and 4 bits of shift are 16 times") {
    StickDef def = no_dead(straight(0));
    def.points[2] = 1000;
    def.points[3] = 3000;
    for (const uint8_t shift : {uint8_t{0}, uint8_t{4}}) {
        def.shift = shift;
        Rig rig(def);
        rig.push_for(312.5 + 0.5, 0, 60000);  // 313 permille: 1252 parts
        const double exact = 60000.0 * ((1000 << shift) + 252 * (2000 << shift) / 500.0) / 65536;
        CHECK(std::abs(static_cast<double>(rig.sum_x) - exact) <= 1);
    }
}

TEST_CASE(
    "stick speed: the fastest table gives 15.99 counts a ms for 60 s, at full deflection in 16 directions") {
    StickDef def = no_dead(straight(0));
    for (uint16_t& point : def.points) point = 0xFFFF;
    def.shift = 4;
    for (int turn = 0; turn < 16; ++turn) {
        Rig rig(def);
        for (int ms = 0; ms < 60000; ms += 4) rig.aim(turn / 16.0, 1000);
        const double length = std::hypot(rig.sum_x, rig.sum_y);
        CAPTURE(turn);
        CHECK(length == doctest::Approx(60000 * 16.0 * 65535 / 65536).epsilon(0.0003));
    }
}

TEST_CASE("stick speed: 20 equal pushes of 36 ms give equal travel, and none reaches into the next") {
    Rig rig(straight(0.31));
    rig.push_for(700, 300, 36);
    const int64_t x = rig.sum_x, y = rig.sum_y;
    CHECK(x > 0);
    for (int i = 2; i <= 20; ++i) {
        rig.push_for(0, 0, 50);
        rig.push_for(700, 300, 36);
        CHECK(rig.sum_x == i * x);
        CHECK(rig.sum_y == i * y);
    }
}

// Source: tremor of 4 to 12 Hz (Bhatia et al. 2018; Elble, Neurology 1986); gain of a first-order low-pass.
TEST_CASE(
    "stick speed: tremor of 80 permille at rest moves nothing in 10 s; at 8 Hz tau 100 ms calms one of 300") {
    Rig calm(straight(2));
    for (int ms = 0; ms < 10000; ms += 4) calm.push(80 * std::sin(k_turn * 6 * ms / 1000.0), 0);
    CHECK(calm.sum_x == 0);
    StickDef def = straight(2);
    def.tau_ms = 100;  // passes 0.195 of 8 Hz: 59 permille, inside the dead zone
    Rig filtered(def), bare(straight(2));
    int64_t travel = 0, moved = 0;
    for (int ms = 0; ms < 10000; ms += 4) {
        const double x = 300 * std::sin(k_turn * 8 * ms / 1000.0);
        travel += std::abs(bare.push(x, 0).dx);
        if (ms > 1000)
            moved += std::abs(filtered.push(x, 0).dx);
        else
            filtered.push(x, 0);
    }
    CHECK(travel > 1000);
    CHECK(moved == 0);
}

StickDef steps(uint8_t counts, uint16_t slow_ms, uint16_t fast_ms) {
    StickDef def = stick_test::plain();
    def.style = StickStyle::steps;
    def.dead_permille = 100;
    def.step_counts = counts;
    def.slow_ms = slow_ms;
    def.fast_ms = fast_ms;
    return def;
}

/// ms (from 0) in which counts came while pushed.
std::vector<unsigned> step_times(Rig& rig, double x, unsigned for_ms) {
    std::vector<unsigned> times;
    for (unsigned ms = 0; ms < for_ms; ms += 4) {
        if (rig.push(x, 0).dx != 0) times.push_back(ms);
    }
    return times;
}

TEST_CASE("stick steps: one of 5 counts at once, then each 600 ms just off rest, 100 at full, 350 half way") {
    const struct {
        double by;
        unsigned interval_ms;
    } cases[] = {{100.25, 600}, {550, 350}, {1000, 100}};
    for (const auto& one : cases) {
        Rig rig(steps(5, 600, 100));
        const double by = one.by < 101 ? 101 : one.by;
        const std::vector<unsigned> times = step_times(rig, by, 1801);
        REQUIRE(times.size() == 1 + 1800 / (one.by < 101 ? 599 : one.interval_ms));
        CHECK(times[0] == 0);
        const unsigned exact_ms = one.by < 101 ? 599 : one.interval_ms;  // 101 permille are 1/900 of the way
        CHECK(times[1] >= exact_ms);
        CHECK(times[1] < exact_ms + 4);  // the next look
        CHECK(rig.sum_x == static_cast<int64_t>(5 * times.size()));
    }
}

TEST_CASE("stick steps: pushed farther while it waits, the step comes as soon as the shorter time is over") {
    Rig rig(steps(1, 1000, 100));
    rig.push_for(150, 0, 300);
    CHECK(rig.sum_x == 1);
    rig.push(1000, 0);
    CHECK(rig.sum_x == 2);
    rig.push_for(1000, 0, 96);
    CHECK(rig.sum_x == 2);
    rig.push(1000, 0);
    CHECK(rig.sum_x == 3);
}

TEST_CASE(
    "stick steps: tremor of 12 Hz at the edge of the dead zone steps no more often than fast_ms allows") {
    Rig rig(steps(1, 1000, 250));
    for (int ms = 0; ms < 10000; ms += 4) rig.push(100 + 40 * std::sin(k_turn * 12 * ms / 1000.0), 0);
    CHECK(rig.sum_x >= 30);
    CHECK(rig.sum_x <= 41);
}

TEST_CASE("stick steps: let go and pushed again after fast_ms, the step comes at once") {
    Rig rig(steps(3, 1000, 100));
    for (int i = 1; i <= 10; ++i) {
        rig.push_for(500, 0, 40);
        CHECK(rig.sum_x == 3 * i);
        rig.push_for(0, 0, 60);
    }
}

TEST_CASE("stick steps: 100 steps of 7 counts at 30 degrees are 700 counts long, within 1 an axis") {
    StickDef def = steps(7, 100, 100);
    Rig rig(def);
    for (int ms = 0; ms < 9901; ms += 4) rig.push(866, 500);
    CHECK(std::abs(static_cast<double>(rig.sum_x) - 700 * 0.86602) <= 1.1);  // 866 : 500 is 29.9998 degrees
    CHECK(std::abs(static_cast<double>(rig.sum_y) - 700 * 0.50003) <= 1.1);
}

TEST_CASE("stick directions: 360 degrees give the nearest of 4 and of 8, clockwise from up") {
    constexpr uint8_t k_eight[] = {
        k_stick_up,   k_stick_up | k_stick_right,  k_stick_right, k_stick_right | k_stick_down,
        k_stick_down, k_stick_down | k_stick_left, k_stick_left,  k_stick_left | k_stick_up};
    for (int degree = 0; degree < 360; ++degree) {
        Rig eight(directions(true)), four(directions(false));
        CAPTURE(degree);
        // Borders at 22.5 degrees lie between whole degrees.
        CHECK(eight.aim(degree / 360.0, 900).directions == k_eight[(degree * 2 + 45) / 90 % 8]);
        if (degree % 90 != 45)
            CHECK(four.aim(degree / 360.0, 900).directions == k_eight[(degree + 45) / 90 % 4 * 2]);
    }
}

TEST_CASE("stick directions: one begins at 500 permille past the dead zone and ends below 350") {
    Rig rig(directions(false));
    CHECK(rig.push(549, 0).directions == 0);
    CHECK(rig.push(550, 0).directions == k_stick_right);
    CHECK(rig.push(416, 0).directions == k_stick_right);
    CHECK(rig.push(414, 0).directions == 0);
    CHECK(rig.push(540, 0).directions == 0);
}

/// Degrees past up at which a stick turned clockwise leaves it, and at which it comes back to it.
std::pair<double, double> borders(const StickDef& def) {
    Rig rig(def);
    double leaves = 0, returns = 0;
    for (double degree = 0; degree < 90 && leaves == 0; degree += 0.1) {
        if (rig.aim(degree / 360, 950).directions != k_stick_up) leaves = degree;
    }
    for (double degree = leaves; degree > 0 && returns == 0; degree -= 0.1) {
        if (rig.aim(degree / 360, 950).directions == k_stick_up) returns = degree;
    }
    return {leaves, returns};
}

TEST_CASE("stick directions: a hysteresis of 6/256 turn keeps one 8.4 degrees past its border, either way") {
    constexpr double k_past = 6 * 360.0 / 256;
    const auto [four_leaves, four_returns] = borders(directions(false));
    CHECK(std::abs(four_leaves - (45 + k_past)) < 0.25);
    CHECK(std::abs(four_returns - (45 - k_past)) < 0.25);
    const auto [eight_leaves, eight_returns] = borders(directions(true));
    CHECK(std::abs(eight_leaves - (22.5 + k_past)) < 0.25);
    CHECK(std::abs(eight_returns - (22.5 - k_past)) < 0.25);
}

TEST_CASE(
    "stick directions: tremor of 5 degrees about a border changes nothing with hysteresis, much without") {
    for (const uint8_t hysteresis : {uint8_t{0}, uint8_t{6}}) {
        Rig rig(directions(true, hysteresis));
        rig.aim(0.05, 900);
        unsigned changes = 0;
        uint8_t before = rig.last.directions;
        for (int ms = 0; ms < 5000; ms += 4) {
            rig.aim((22.5 + 5 * std::sin(k_turn * 8 * ms / 1000.0)) / 360, 900);
            if (rig.last.directions != before) ++changes;
            before = rig.last.directions;
        }
        CHECK((changes == 0) == (hysteresis != 0));
        if (hysteresis == 0) CHECK(changes >= 78);  // 40 waves cross twice
    }
}

TEST_CASE("stick directions: straight across from right to left no other direction shows up") {
    Rig rig(directions(true));
    for (int x = 1000; x >= -1000; x -= 10) {
        const uint8_t now = rig.push(x, 3).directions;
        CHECK((now == 0 || now == k_stick_right || now == k_stick_left));
    }
    CHECK(rig.last.directions == k_stick_left);
}

TEST_CASE("stick directions: with an on radius of 0 there are none at all") {
    StickDef def = directions(true);
    def.on_permille = 0;
    Rig rig(def);
    CHECK(rig.push(1000, 0).directions == 0);
}

}  // namespace
}  // namespace fettle::engine
