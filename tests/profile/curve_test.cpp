// Shapes to tables and back: speed curves, and MouseKeys acceleration against the X Keyboard Extension.

#include "core/profile/curve.hpp"

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include <algorithm>
#include <cmath>

using namespace fettle::profile;

namespace {

using Moves = std::vector<uint16_t>;

int sum(const Moves& moves, size_t count) {
    int total = 0;
    for (size_t i = 0; i < count; ++i) total += moves[std::min(i, moves.size() - 1)];
    return total;
}

Moves times(int factor) {
    Moves moves;
    for (int i = 1; i <= 30; ++i) moves.push_back(static_cast<uint16_t>(factor * i));
    return moves;
}

SpeedShape any_shape() {
    SpeedShape shape;
    shape.start_counts_per_s = *rc::gen::inRange(0, 16001);
    shape.top_counts_per_s = *rc::gen::inRange(1, 16001);
    shape.exponent_permille = *rc::gen::inRange(100, 5001);
    return shape;
}

}  // namespace

// Source of the next five: the rule of the X Keyboard Extension (Library specification, "MouseKeysAccel")
// with the X.Org server's rounding (xkb/xkbAccessX.c: away from zero), computed outside of this project.
TEST_CASE("mouse keys: the server's defaults 1, 30, 30, 500 give its 31 moves, 390 counts in all") {
    const Moves moves = compile_mouse_keys({1, 30, 30, 500});
    CHECK(moves == Moves{1,  1,  1,  1,  2,  3,  3,  4,  5,  5,  6,  7,  8,  9,  10, 11,
                         12, 13, 14, 16, 17, 18, 19, 21, 22, 23, 25, 26, 28, 29, 30});
    CHECK(sum(moves, 31) == 390);
}

TEST_CASE("mouse keys: curve 0 is straight: 1 1 2 3 ... 30 is 466 counts, with delta 5 it is 2330") {
    Moves slow = times(1), fast = times(5);
    slow.insert(slow.begin(), 1);
    fast.insert(fast.begin(), 5);
    CHECK(compile_mouse_keys({1, 30, 30, 0}) == slow);
    CHECK(compile_mouse_keys({5, 30, 30, 0}) == fast);
    CHECK(sum(slow, 31) == 466);
    CHECK(sum(fast, 31) == 2330);
}

TEST_CASE("mouse keys: curve -1000 is full speed from the second move on, 901 counts in all") {
    const Moves moves = compile_mouse_keys({1, 30, 30, -1000});
    CHECK(moves[0] == 1);
    CHECK(moves[1] == 30);
    CHECK(sum(moves, 31) == 901);
}

TEST_CASE(
    "mouse keys: 1, 20 events, 10, curve 0 is 1 1 1 2 2 3 3 ... 10 10, 211 counts in all with 10 more "
    "events") {
    const Moves moves = compile_mouse_keys({1, 20, 10, 0});
    CHECK(moves == Moves{1, 1, 1, 2, 2, 3, 3, 4, 4, 5, 5, 6, 6, 7, 7, 8, 8, 9, 9, 10, 10});
    CHECK(sum(moves, 31) == 211);
}

TEST_CASE("mouse keys: 1, 20 events, 10, curve -500 ends at 10, where the server's last ulp makes 11 of it") {
    const Moves moves = compile_mouse_keys({1, 20, 10, -500});
    CHECK(moves == Moves{1, 3, 4, 4, 5, 6, 6, 6, 7, 7, 8, 8, 8, 9, 9, 9, 9, 10, 10, 10, 10});
    CHECK(sum(moves, 31) == 250 - 1);  // the same source has 250 with the 11
}

TEST_CASE("mouse keys: moves of 0.1 a step round up: 1 at the 10th, 2 at the 11th, 3 at the 30th") {
    const Moves moves = compile_mouse_keys({1, 30, 3, 0});
    CHECK(moves[10] == 1);
    CHECK(moves[11] == 2);
    CHECK(moves[20] == 2);
    CHECK(moves[21] == 3);
    CHECK(moves[30] == 3);
}

TEST_CASE(
    "mouse keys: what the format cannot hold is empty: 0 or 61 events, factors of 0, 65,536 counts, curve "
    "1001") {
    CHECK(compile_mouse_keys({1, 0, 30, 0}).empty());
    CHECK(compile_mouse_keys({1, 61, 30, 0}).empty());
    CHECK(compile_mouse_keys({0, 30, 30, 0}).empty());
    CHECK(compile_mouse_keys({1, 30, 0, 0}).empty());
    CHECK(compile_mouse_keys({1, 30, 30, 1001}).empty());
    CHECK(compile_mouse_keys({1, 30, 30, -1001}).empty());
    CHECK(compile_mouse_keys({1000, 30, 66, 0}).empty());
    CHECK(compile_mouse_keys({1000, 60, 65, 0}).size() == 61);
}

TEST_CASE(
    "mouse keys: every compiled table rises to delta * max_speed and fits back to a shape with the same "
    "table") {
    const bool is_true = rc::check("mouse keys round trip", [] {
        MouseKeysShape shape;
        shape.delta_counts = *rc::gen::inRange(1, 60);
        shape.max_speed = *rc::gen::inRange(1, 1000);
        shape.time_to_max_events = *rc::gen::inRange(1, 61);
        shape.curve_permille = *rc::gen::inRange(-1000, 1001);
        const Moves moves = compile_mouse_keys(shape);
        RC_ASSERT(std::is_sorted(moves.begin() + 1, moves.end()));
        RC_ASSERT(moves.back() == shape.delta_counts * shape.max_speed);
        const auto fitted = fit_mouse_keys(moves);
        RC_ASSERT(fitted.has_value());
        RC_ASSERT(compile_mouse_keys(*fitted) == moves);
    });
    CHECK(is_true);
}

TEST_CASE("mouse keys: moves that no shape makes fit none") {
    CHECK_FALSE(fit_mouse_keys(Moves{1}).has_value());
    CHECK_FALSE(fit_mouse_keys(Moves{0, 5}).has_value());
    CHECK_FALSE(fit_mouse_keys(Moves{2, 5}).has_value());
    CHECK_FALSE(fit_mouse_keys(Moves{1, 5, 4, 6}).has_value());
    CHECK_FALSE(fit_mouse_keys(Moves{1, 1001}).has_value());
    CHECK(fit_mouse_keys(Moves{5, 5})->max_speed == 1);  // acceleration off
}

TEST_CASE("mouse keys: the defaults fit back to curve 500, the straight table to 0") {
    CHECK(fit_mouse_keys(compile_mouse_keys({1, 30, 30, 500})) == MouseKeysShape{1, 30, 30, 500});
    CHECK(fit_mouse_keys(compile_mouse_keys({5, 30, 30, 0})) == MouseKeysShape{5, 30, 30, 0});
}

TEST_CASE("curve: 0 to 1000 counts/s, straight, is 0 ... 65,536 in steps of 8,192 Q16 counts a ms") {
    const SpeedTable points = compile_travel(SpeedShape{0, 1000, 1000});
    for (uint32_t k = 0; k < 9; ++k) CHECK(points[k] == 8192 * k);
}

TEST_CASE(
    "curve: exponent 2000 from 0 to 6400 counts/s is 100 counts/s at an eighth and 1600 at the middle") {
    const SpeedTable points = compile_travel(SpeedShape{0, 6400, 2000});
    CHECK(std::abs(counts_per_s(points[1]) - 100) < 0.01);
    CHECK(std::abs(counts_per_s(points[4]) - 1600) < 0.01);
    CHECK(std::abs(counts_per_s(points[8]) - 6400) < 0.01);
}

TEST_CASE(
    "curve: start and top are the table's ends, also when the speed falls, and between them it never turns") {
    const bool is_true = rc::check("monotonous", [] {
        const SpeedShape shape = any_shape();
        const SpeedTable points = compile_travel(shape);
        RC_ASSERT(points.front() == q16_counts_per_ms(shape.start_counts_per_s));
        RC_ASSERT(points.back() == q16_counts_per_ms(shape.top_counts_per_s));
        const bool rises = shape.start_counts_per_s <= shape.top_counts_per_s;
        const bool is_sorted = rises ? std::is_sorted(points.begin(), points.end())
                                     : std::is_sorted(points.rbegin(), points.rend());
        RC_ASSERT(is_sorted);
    });
    CHECK(is_true);
}

TEST_CASE("curve: every shape of up to 16,000 counts/s fits back to a shape with the same table") {
    const bool is_true = rc::check("travel round trip", [] {
        const SpeedTable points = compile_travel(any_shape());
        const auto fitted = fit_travel(points);
        RC_ASSERT(fitted.has_value());
        RC_ASSERT(compile_travel(*fitted) == points);
    });
    CHECK(is_true);
}

TEST_CASE("curve: round exponents come back as they were given, from 40 to 600 counts/s") {
    for (int exponent = 100; exponent <= 5000; exponent += 50) {
        const SpeedShape shape{40, 600, exponent};
        CHECK(fit_travel(compile_travel(shape)) == shape);
    }
}

TEST_CASE("curve: a table that is off by one part of Q16 in one point, or too fast, fits no shape") {
    const SpeedTable points = compile_travel(SpeedShape{40, 600, 1500});
    for (size_t k = 0; k < points.size(); ++k) {
        CAPTURE(k);
        SpeedTable other = points;
        ++other[k];
        CHECK_FALSE(fit_travel(other).has_value());
    }
    SpeedTable fast;
    fast.fill(0xFFFFFF);
    CHECK_FALSE(fit_travel(fast).has_value());
    CHECK_FALSE(fit_travel(SpeedTable{}).has_value());  // a top of 0 is no speed that a document can name
}

TEST_CASE("curve: every Q16 speed survives the way to counts a second and back") {
    for (uint32_t q16 = 0; q16 <= 0xFFFFFF; q16 += 251) REQUIRE(q16_counts_per_ms(counts_per_s(q16)) == q16);
    CHECK(q16_counts_per_ms(counts_per_s(0xFFFFFF)) == 0xFFFFFF);
    CHECK(q16_counts_per_ms(-1) == 0);
    CHECK(q16_counts_per_ms(1e9) == 0xFFFFFF);
}

TEST_CASE("curve: the engine reads a record back as it was given") {
    fettle::engine::Setup setup;
    fettle::engine::clear(setup);
    const Travel travel{.first_step_counts = 7,
                        .delay_ms = 5000,
                        .ramp_ms = 20000,
                        .cadence_window_ms = 1999,
                        .cadence_gain_permille = 8000,
                        .speed = SpeedShape{16000, 250000, 700}};
    const MouseKeys keys{.delay_ms = 161, .interval_ms = 999, .moves = MouseKeysMoves{{3, 65535, 4}}};
    std::vector<uint8_t> bytes = motion_record(travel);
    CHECK(bytes.size() == 1 + fettle::engine::k_travel_bytes);
    const std::vector<uint8_t> second = motion_record(keys);
    CHECK(second.size() == 1 + fettle::engine::k_mouse_keys_head_bytes + 2 * 3);
    bytes.insert(bytes.end(), second.begin(), second.end());
    std::copy(bytes.begin(), bytes.end(), setup.bytes);
    setup.motion_count = 2;
    const auto head = setup.motion(0);
    CHECK(head.family == fettle::engine::MotionFamily::travel);
    CHECK(head.first_step_counts == 7);
    CHECK(head.delay_ms == 5000);
    CHECK(head.ramp_ms == 20000);
    CHECK(head.cadence_window_ms == 1999);
    CHECK(head.cadence_gain_permille == 8000);
    for (uint8_t k = 0; k < 9; ++k) CHECK(setup.motion_point(0, k) == compile_travel(travel)[k]);
    CHECK(setup.motion(1).delay_ms == 161);
    CHECK(setup.motion(1).interval_ms == 999);
    CHECK(setup.motion(1).event_count == 2);
    CHECK(setup.motion_point(1, 1) == 65535);
    CHECK(setup.motion_point(1, 9) == 4);
    CHECK(motion_record(MouseKeys{.moves = MouseKeysShape{0, 30, 30, 0}}).empty());
    CHECK(motion_record(MouseKeys{.moves = MouseKeysMoves{{3}}}).empty());
}
