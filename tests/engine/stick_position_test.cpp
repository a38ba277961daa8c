// Rest, low-pass, dead zone, rotation and gains of stick.cpp, each against its formula.

#include <complex>
#include <initializer_list>

#include "tests/engine/stick_rig.hpp"

namespace fettle::engine {
namespace {

using stick_test::k_turn;
using stick_test::permille;
using stick_test::plain;
using stick_test::Rig;

StickDef dead(int permille) {
    StickDef def = plain();
    def.dead_permille = static_cast<uint16_t>(permille);
    return def;
}

TEST_CASE("stick: a record of 34 bytes comes back as it went, with points and with steps") {
    for (const StickStyle style : {StickStyle::still, StickStyle::speed, StickStyle::steps}) {
        StickDef def = plain();
        def.style = style;
        def.flags = k_stick_eight;
        def.shift = 4;
        def.rotation = 200;
        def.dead_permille = 0x123;
        def.tau_ms = 0x234;
        def.gains[2] = 77;
        def.on_permille = 0x312;
        def.off_permille = 0x211;
        def.hysteresis = 9;
        for (unsigned k = 0; k < k_curve_points; ++k) def.points[k] = static_cast<uint16_t>(1000 * k + 7);
        def.step_counts = 33;
        def.slow_ms = 0x456;
        def.fast_ms = 0x145;
        uint8_t bytes[k_stick_bytes];
        put_stick(bytes, def);
        CHECK(bytes[3] == 0x23);  // low byte first
        CHECK(bytes[4] == 0x01);
        const StickDef back = get_stick(bytes);
        CHECK(back.style == style);
        CHECK(back.flags == k_stick_eight);
        CHECK(back.shift == 4);
        CHECK(back.rotation == 200);
        CHECK(back.rest_limit == 50);
        CHECK(back.dead_permille == 0x123);
        CHECK(back.tau_ms == 0x234);
        CHECK(back.gains[0] == 64);
        CHECK(back.gains[2] == 77);
        CHECK(back.on_permille == 0x312);
        CHECK(back.off_permille == 0x211);
        CHECK(back.hysteresis == 9);
        const bool has_steps = style == StickStyle::steps;
        CHECK(back.points[8] == (has_steps ? 0 : 8007));
        CHECK(back.step_counts == (has_steps ? 33 : 0));
        CHECK(back.slow_ms == (has_steps ? 0x456 : 0));
        CHECK(back.fast_ms == (has_steps ? 0x145 : 0));
    }
}

TEST_CASE("stick: a rest of 83 and -46 permille is learnt in 256 ms, and gives 0 then") {
    Stick stick;
    stick.reset();
    const StickDef def = plain();
    for (int ms = 0; ms < 255; ++ms) stick.tick(static_cast<int16_t>(83 + ms % 2), -46, def);
    CHECK_FALSE(stick.is_ready());
    CHECK(stick.tick(83, -46, def).x == 0);
    CHECK(stick.is_ready());
    CHECK(stick.rest(0) == 4 * 83 + 2);  // 127 of 256 were 84
    CHECK(stick.rest(1) == -4 * 46);
    stick.tick(183, -46, def);
    stick.tick(183, -46, def);
    CHECK(stick.tick(183, -46, def).x == 398);
}

TEST_CASE(
    "stick: held 201 permille off at power-up it learns nothing in 10 s, and all stays 0; let go it does") {
    for (int turn = 0; turn < 16; ++turn) {
        Stick stick;
        stick.reset();
        const StickDef def = stick_test::directions(true);
        const auto push = [&](double by) {
            return stick.tick(permille(by * std::cos(k_turn * turn / 16)),
                              permille(by * std::sin(k_turn * turn / 16)), def);
        };
        for (int ms = 0; ms < 200; ++ms) push(0);
        for (int ms = 0; ms < 10000; ++ms) {
            const StickStep step = push(ms < 5000 ? 203 : 900);
            CHECK((step.x | step.y | step.directions | step.dx | step.dy) == 0);
        }
        CHECK_FALSE(stick.is_ready());
        for (int ms = 0; ms < 255; ++ms) push(10);
        CHECK_FALSE(stick.is_ready());
        push(10);
        CHECK(stick.is_ready());
        CHECK(std::hypot(stick.rest(0), stick.rest(1)) < 4 * 11);
        for (int ms = 0; ms < 3; ++ms) push(900);
        CHECK(push(900).directions != 0);
    }
}

TEST_CASE("stick: a rest of exactly 200 permille is learnt where 200 are the limit, on each side") {
    for (const int side : {-1, 1}) {
        Rig along_x(plain(), 200 * side, 0), along_y(plain(), 0, 200 * side),
            slanted(plain(), 120 * side, 160);
        CHECK(along_x.stick.rest(0) == 800 * side);
        CHECK(along_y.stick.rest(1) == 800 * side);
        CHECK(slanted.stick.rest(0) == 480 * side);
    }
}

TEST_CASE("stick: a rest that drifts 60 permille in 100 s is followed within 2 permille, and nothing moves") {
    Rig rig(stick_test::straight(2));
    for (int ms = 0; ms < 100000; ms += 4) {
        rig.rest_x = ms * 60 / 100000;
        rig.rest_y = -rig.rest_x / 2;
        rig.push(0, 0);
        REQUIRE(std::abs(rig.stick.rest(0) - 4 * rig.rest_x) <= 8);
        REQUIRE(std::abs(rig.stick.rest(1) - 4 * rig.rest_y) <= 8);
    }
    CHECK(rig.sum_x == 0);
    CHECK(rig.sum_y == 0);
}

TEST_CASE("stick: the rest stands still in a push of 60 s, 101 of 100 permille included") {
    Rig rig(dead(100));
    rig.push_for(101, 0, 60000);
    CHECK(rig.stick.rest(0) == 0);
    rig.push_for(99, 0, 2560);
    CHECK(rig.stick.rest(0) == 10);
    rig.push_for(0, 0, 2560);
    CHECK(rig.stick.rest(0) == 0);
}

TEST_CASE("stick: a rest is never followed past 200 permille from the sensors' own 0") {
    Rig rig(dead(300), 190, 0);
    rig.push_for(30, -290, 100000);
    CHECK(rig.stick.rest(0) == 800);
    CHECK(rig.stick.rest(1) == -390);
    rig.push_for(0, 0, 100000);
    CHECK(rig.stick.rest(0) == 4 * 190);
    CHECK(rig.stick.rest(1) == 0);
}

/// Amplitude of a wave that went through, and the same by the formula, at `hertz`.
double wave_gain(int tau_ms, double hertz) {
    StickDef def = plain();
    def.tau_ms = static_cast<uint16_t>(tau_ms);
    Rig rig(def);
    const int settle_ms = 12 * tau_ms + 1000, for_ms = 10000;  // whole periods of 4, 6, 8 and 12 Hz
    std::complex<double> through;
    for (int ms = 0; ms < settle_ms + for_ms; ms += 4) {
        const double phase = k_turn * hertz * ms / 1000.0;
        const StickStep step = rig.push(900 * std::sin(phase), 0);
        if (ms >= settle_ms) through += std::polar(1.0, -phase) * static_cast<double>(step.x);
    }
    return 2 * std::abs(through) / (for_ms / 4) / (4 * 900);
}

// Source: a first-order low-pass passes 1 / sqrt(1 + (2 pi f tau)^2); tau .1 s: .370 at 4 Hz, .256 at 6, .132
// at 12 (general signal theory, computed).
TEST_CASE(
    "stick: at 4, 6, 8 and 12 Hz the low-pass passes what a first order with 10 to 500 ms does, within 1 %") {
    for (const int tau_ms : {10, 20, 50, 100, 200, 500}) {
        for (const double hertz : {4.0, 6.0, 8.0, 12.0}) {
            const double gain = 1 / std::sqrt(1 + std::pow(k_turn * hertz * tau_ms / 1000.0, 2));
            CAPTURE(tau_ms);
            CAPTURE(hertz);
            CHECK(wave_gain(tau_ms, hertz) == doctest::Approx(gain).epsilon(0.01));
        }
    }
    CHECK(wave_gain(100, 4) == doctest::Approx(0.370).epsilon(0.01));
    CHECK(wave_gain(100, 6) == doctest::Approx(0.256).epsilon(0.01));
    CHECK(wave_gain(100, 12) == doctest::Approx(0.132).epsilon(0.01));
}

TEST_CASE(
    "stick: after a jump the low-pass stands at 63 % after tau, 95 % after 3 tau, then exactly, both ways") {
    for (const unsigned tau_ms : {12u, 100u, 1000u, 2000u}) {
        CAPTURE(tau_ms);
        StickDef def = plain();
        def.tau_ms = static_cast<uint16_t>(tau_ms);
        Rig rig(def);
        for (const int side : {1, -1}) {
            const double limit = tau_ms == 12 ? 0.005 : 0.001;
            const double after_tau = rig.push_for(side * 1000, 0, tau_ms).x / (side * 4000.0);
            CHECK(std::abs(after_tau - (1 - std::exp(-1.0))) < limit);
            const double after_three = rig.push_for(side * 1000, 0, 2 * tau_ms).x / (side * 4000.0);
            CHECK(std::abs(after_three - (1 - std::exp(-3.0))) < limit);
            CHECK(rig.push_for(side * 1000, 0, 15 * tau_ms).x == side * 4000);
            CHECK(rig.push_for(0, 0, 15 * tau_ms).x == 0);
        }
    }
}

TEST_CASE("stick: a low-pass of 0 or 1 ms changes nothing") {
    for (const uint16_t tau_ms : {uint16_t{0}, uint16_t{1}}) {
        StickDef def = plain();
        def.tau_ms = tau_ms;
        Rig rig(def);
        for (int i = -10; i <= 10; ++i) CHECK(rig.push(100 * i, 0).x == 400 * i);
    }
}

TEST_CASE("stick: a steady movement of 1 permille a ms lags by tau, within 2 ms") {
    for (const int tau_ms : {10, 50, 100}) {
        StickDef def = plain();
        def.tau_ms = static_cast<uint16_t>(tau_ms);
        Rig rig(def);
        for (int ms = 0; ms <= 1000; ms += 4) rig.push(ms, 0);
        CHECK(std::abs(1000 - rig.last.x / 4.0 - tau_ms) <= 2.2);
    }
}

TEST_CASE("stick: a jump in any of 4 ms is told 3 to 6 ms later, position before directions") {
    for (unsigned phase = 0; phase < 4; ++phase) {
        Rig rig(stick_test::directions(false));
        for (unsigned ms = 0; ms < phase; ++ms) rig.stick.tick(0, 0, rig.def);
        unsigned position_ms = 0, directions_ms = 0;
        for (unsigned ms = 1; ms <= 8; ++ms) {
            const StickStep step = rig.stick.tick(0, 1000, rig.def);
            if (step.y != 0 && position_ms == 0) position_ms = ms;
            if (step.directions != 0 && directions_ms == 0) directions_ms = ms;
        }
        CAPTURE(phase);
        const unsigned waits = (4 - phase) % 4;  // for the next look
        CHECK(position_ms == waits + 3);
        CHECK(directions_ms == waits + 4);
        for (unsigned ms = phase; ms < 4; ++ms) rig.stick.tick(0, 0, rig.def);  // to the end of a look
    }
}

TEST_CASE("stick: with 2,000 ms an offset of a single part is still reached exactly") {
    StickDef def = plain();
    def.tau_ms = 2000;
    Rig rig(def);
    for (int i = 0; i < 40000; ++i) rig.push(1, -1);
    CHECK(rig.last.x == 4);
    CHECK(rig.last.y == -4);
}

TEST_CASE(
    "stick: the dead zone of 150 permille is round: in 360 directions it ends at 150, within 1 permille") {
    for (int degree = 0; degree < 360; ++degree) {
        Rig rig(dead(150));
        int ends = 0;
        for (int by = 140; by < 160 && ends == 0; ++by) {
            const StickStep step = rig.aim(degree / 360.0, by);
            if ((step.x | step.y) != 0) ends = by;
        }
        CAPTURE(degree);
        CHECK(ends >= 150);
        CHECK(ends <= 152);
    }
}

TEST_CASE(
    "stick: past the dead zone deflection is that of the formula in 64 directions, full at full, direction "
    "kept") {
    for (const int zone : {0, 80, 150, 400}) {
        for (int turn = 0; turn < 64; ++turn) {
            Rig rig(dead(zone));
            for (int by = zone + 10; by <= 1000; by += 55) {
                const double raw_x = permille(by * std::sin(k_turn * turn / 64.0));
                const double raw_y = permille(-by * std::cos(k_turn * turn / 64.0));
                const double r = std::hypot(raw_x, raw_y);
                const StickStep step = rig.aim(turn / 64.0, by);
                const double m = 4000 * std::min(1.0, (r - zone) / (1000 - zone));
                const double limit = 0.5 / (1 - zone / 1000.0) + 1.2;
                CAPTURE(zone);
                CAPTURE(turn);
                CAPTURE(by);
                CHECK(std::abs(step.x - m * raw_x / r) <= limit);
                CHECK(std::abs(step.y - m * raw_y / r) <= limit);
            }
            const StickStep full = rig.aim(turn / 64.0, 1000);
            CHECK(std::abs(std::hypot(full.x, full.y) - 4000) <= 4 / (1 - zone / 1000.0));
        }
    }
}

TEST_CASE("stick: the corners of a square gate count as full deflection at 45 degrees") {
    Rig rig(dead(100));
    for (const int x : {-1000, 1000}) {
        for (const int y : {-1000, 1000}) {
            const StickStep step = rig.push(x, y);
            CHECK(std::abs(std::abs(step.x) - 2828.4) <= 1);
            CHECK(std::abs(std::abs(step.y) - 2828.4) <= 1);
            CHECK((step.x < 0) == (x < 0));
            CHECK((step.y < 0) == (y < 0));
        }
    }
}

TEST_CASE(
    "stick: deflection is continuous: 1 permille more never gives more than 2 / (1 - dead) permille more") {
    for (const int zone : {0, 100, 500}) {
        Rig rig(dead(zone));
        int before = 0;
        for (int by = 0; by <= 1000; ++by) {
            const int x = rig.push(by, 0).x;
            CHECK(x >= before);
            CHECK(x - before <= 4 * 2 * 1000 / (1000 - zone));
            before = x;
        }
        CHECK(std::abs(before - 4000) <= 16);  // 2 s in the dead zone moved the rest by 7 parts
    }
}

TEST_CASE("stick: all 256 rotations are those of libm within 1.2 parts, clockwise, and 0 changes nothing") {
    for (int angle = 0; angle < 256; ++angle) {
        StickDef def = plain();
        def.rotation = static_cast<uint8_t>(angle);
        Rig rig(def);
        const double c = std::cos(k_turn * angle / 256), s = std::sin(k_turn * angle / 256);
        for (int turn = 0; turn < 37; ++turn) {
            const double x = 4.0 * permille(800 * std::cos(k_turn * turn / 37));
            const double y = 4.0 * permille(800 * std::sin(k_turn * turn / 37));
            const StickStep step = rig.push(x / 4, y / 4);
            CAPTURE(angle);
            CAPTURE(turn);
            CHECK(std::abs(step.x - (x * c - y * s)) <= 1.2);
            CHECK(std::abs(step.y - (x * s + y * c)) <= 1.2);
        }
        const StickStep up = rig.push(0, -1000);
        if (angle == 64) CHECK(up.x == 4000);  // a quarter clockwise: pushed up, right is meant
        if (angle == 0) CHECK(up.y == -4000);
    }
}

TEST_CASE("stick: gains of 1/2, 2, 0 and 3.98 act on their own half axis, within full deflection") {
    StickDef def = plain();
    def.gains[0] = 32;   // up
    def.gains[1] = 128;  // right
    def.gains[2] = 0;    // down
    def.gains[3] = 255;  // left
    Rig rig(def);
    CHECK(rig.push(0, -600).y == -1200);
    CHECK(rig.push(300, 0).x == 2400);
    CHECK(rig.push(600, 0).x == 4000);
    CHECK(rig.push(0, 900).y == 0);
    CHECK(rig.push(-200, 0).x == -3188);  // 800 * 255 / 64 = 3187.5
    const StickStep both = rig.push(500, -500);
    CHECK(std::abs(std::hypot(both.x, both.y) - 4000) <= 1);
    CHECK(std::abs(both.x + 4.0 * both.y) <= 4);  // 2 : 1/2
}

TEST_CASE("stick: gains act after the rotation: a push up, turned to the right, has the gain of right") {
    StickDef def = plain();
    def.rotation = 64;
    def.gains[1] = 128;
    Rig rig(def);
    CHECK(rig.push(0, -300).x == 2400);
}

TEST_CASE("stick: left is right mirrored, and down is up, for 2,000 positions with a low-pass in between") {
    StickDef def = dead(70);
    def.tau_ms = 33;
    Rig rig(def), mirrored(def);
    for (int ms = 0; ms < 2000; ++ms) {
        const double x = 700 * std::sin(ms * 0.013), y = 600 * std::sin(ms * 0.0071);
        const StickStep a = rig.push(x, y), b = mirrored.push(-x, -y);
        CHECK(a.x == -b.x);
        CHECK(a.y == -b.y);
    }
}

TEST_CASE("stick: after everything was let go all is 0 until it was at rest, and the rest is kept") {
    Rig rig(stick_test::straight(1), 40, 0);
    rig.push_for(800, 0, 500);
    const int64_t before = rig.sum_x;
    CHECK(before > 300);
    rig.stick.let_go();
    for (int ms = 0; ms < 5000; ++ms) CHECK((rig.push(800, 100).x | rig.last.y) == 0);
    CHECK(rig.sum_x == before);
    rig.push(99, 0);
    rig.push_for(800, 0, 500);
    CHECK(rig.sum_x == 2 * before);
    CHECK(rig.stick.rest(0) == 160);
}

}  // namespace
}  // namespace fettle::engine
