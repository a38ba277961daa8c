// Moves made by hand: the ratio that was put in must come out.
#include "app/desk/pointer_meter.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

namespace fettle::app::test {
namespace {

using BySpeed = PointerAnswer::BySpeed;

/// Frames of 16 ms.
struct Computer {
    PointerMeter meter;
    std::int64_t now_us = 1000000;

    void frame(double counts, double pixels, bool is_at_edge = false) {
        now_us += 16000;
        meter.put({now_us, counts, pixels, is_at_edge});
    }
    void rest(int frames = 20) {
        for (int i = 0; i < frames; ++i) frame(0, 0);
    }
    /// A move of 25 frames (0.4 s) at that speed, pixels a frame late, whole ones as a pointer has them.
    void move(double counts_per_s, double ratio, bool is_at_edge = false) {
        const double each = counts_per_s * 0.016;
        double late = 0, shown = 0, whole = 0;
        for (int i = 0; i < 25; ++i) {
            const double now = std::floor(shown + late) - whole;
            frame(each, now, is_at_edge && i == 20);
            whole += now;
            shown += late;
            late = each * ratio;
        }
        frame(0, std::floor(shown + late) - whole);
        rest();
    }
};

TEST_CASE(
    "pointer meter: a computer that adds nothing has ratio 1.00 and does not care for speed, 12 moves") {
    Computer computer;
    computer.rest();
    for (int i = 0; i < 12; ++i) computer.move(150 + 75 * i, 1.0);
    const auto answer = computer.meter.answer();
    REQUIRE(answer);
    CHECK(answer->moves == 12);
    CHECK(answer->ratio == doctest::Approx(1.0).epsilon(0.02));
    CHECK(answer->low >= 0.97);
    CHECK(answer->high <= 1.0);
    CHECK(answer->by_speed == BySpeed::no);
}

TEST_CASE("pointer meter: a straight factor of 1.6 is 1.6 slow and fast") {
    Computer computer;
    computer.rest();
    for (int i = 0; i < 20; ++i) computer.move(150 + 40 * i, 1.6);
    const auto answer = computer.meter.answer();
    REQUIRE(answer);
    CHECK(answer->ratio == doctest::Approx(1.6).epsilon(0.02));
    CHECK(answer->slow_ratio == doctest::Approx(answer->fast_ratio).epsilon(0.02));
    CHECK(answer->by_speed == BySpeed::no);
}

TEST_CASE(
    "pointer meter: acceleration from 1 at 150 to 2.5 at 900 counts a second is seen, with both ratios") {
    Computer computer;
    computer.rest();
    for (int i = 0; i < 16; ++i) {
        const double speed = 150 + 50 * ((i * 7) % 16);
        computer.move(speed, 1 + 1.5 * (speed - 150) / 750);
    }
    const auto answer = computer.meter.answer();
    REQUIRE(answer);
    CHECK(answer->by_speed == BySpeed::yes);
    CHECK(answer->tau > 0.9);
    CHECK(answer->slow_ratio == doctest::Approx(1.2).epsilon(0.08));
    CHECK(answer->fast_ratio == doctest::Approx(2.3).epsilon(0.08));
    CHECK(answer->slow_counts_per_s == doctest::Approx(250).epsilon(0.15));
    CHECK(answer->fast_counts_per_s == doctest::Approx(800).epsilon(0.15));
    CHECK(answer->high - answer->low > 0.4);
}

TEST_CASE(
    "pointer meter: noise of 20 % around 1 is spread and no acceleration, in 95 of 100 sittings or more") {
    int taken_for_acceleration = 0;
    for (unsigned seed = 0; seed < 100; ++seed) {
        std::mt19937 random(seed);
        Computer computer;
        computer.rest();
        for (int i = 0; i < 24; ++i)
            computer.move(100 + static_cast<double>(random() % 900),
                          0.8 + static_cast<double>(random() % 1000) / 2500.0);
        const auto answer = computer.meter.answer();
        REQUIRE(answer);
        CHECK(answer->ratio > 0.85);
        CHECK(answer->ratio < 1.15);
        CHECK(answer->high - answer->low > 0.05);
        taken_for_acceleration += answer->by_speed == BySpeed::yes ? 1 : 0;
    }
    CHECK(taken_for_acceleration <= 5);
}

TEST_CASE("pointer meter: 7 moves are no answer, 8 are; short ones below 20 counts do not count") {
    Computer computer;
    computer.rest();
    for (int i = 0; i < 7; ++i) computer.move(300, 1);
    for (int i = 0; i < 30; ++i) computer.move(40, 1);  // 16 counts each
    CHECK_FALSE(computer.meter.answer());
    computer.move(300, 1);
    CHECK(computer.meter.answer());
    CHECK(computer.meter.moves().size() == 8);
}

TEST_CASE("pointer meter: moves that touch the edge are left out and counted, stuck there or not") {
    Computer computer;
    computer.rest();
    for (int i = 0; i < 8; ++i) computer.move(300 + 50 * i, 1);
    for (int i = 0; i < 5; ++i) computer.move(600, 0.3, true);
    computer.move(600, 0, true);
    const auto answer = computer.meter.answer();
    REQUIRE(answer);
    CHECK(answer->moves == 8);
    CHECK(answer->ratio == doctest::Approx(1.0).epsilon(0.02));
    CHECK(computer.meter.left_out_at_edge() == 6);
}

TEST_CASE("pointer meter: equally fast moves say nothing about acceleration") {
    Computer computer;
    computer.rest();
    for (int i = 0; i < 12; ++i) computer.move(400 + i, 1.3);
    REQUIRE(computer.meter.answer());
    CHECK(computer.meter.answer()->by_speed == BySpeed::not_known);
}

TEST_CASE("pointer meter: another mouse that moves the pointer, pixels without counts, is no move") {
    Computer computer;
    computer.rest();
    for (int i = 0; i < 30; ++i) {
        for (int k = 0; k < 10; ++k) computer.frame(0, 12);
        computer.rest();
    }
    CHECK(computer.meter.moves().empty());
    CHECK(computer.meter.left_out_at_edge() == 0);
}

TEST_CASE("pointer meter: a window that slept 3 s before a move does not make it slow") {
    Computer computer;
    computer.rest();
    for (int i = 0; i < 8; ++i) {
        computer.now_us += 3000000;
        computer.move(500, 1);
    }
    REQUIRE(computer.meter.answer());
    CHECK(computer.meter.moves().back().counts_per_s == doctest::Approx(500).epsilon(0.1));
}

TEST_CASE("pointer meter: it keeps the newest 200 moves, so a changed system shows; clear forgets") {
    Computer computer;
    computer.rest();
    for (int i = 0; i < 150; ++i) computer.move(300 + i, 1);
    for (int i = 0; i < 200; ++i) computer.move(300 + i, 2);
    REQUIRE(computer.meter.answer());
    CHECK(computer.meter.answer()->moves == 200);
    CHECK(computer.meter.answer()->low == doctest::Approx(2).epsilon(0.02));
    computer.meter.clear();
    CHECK_FALSE(computer.meter.answer());
}

}  // namespace
}  // namespace fettle::app::test
