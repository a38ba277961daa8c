// The MouseKeys family plays its table event by event.
// Source of the tables: the rule of the X Keyboard Extension (Library specification, "MouseKeysAccel";
// default delay 160 ms, interval 40 ms, time_to_max 30, max_speed 30, curve 500) with the X.Org server's
// rounding, computed outside of this project. tests/profile/curve_test.cpp holds the compiler against the
// same tables.

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include <algorithm>

#include "tests/engine/motion_rig.hpp"

namespace motion_test {

namespace {

// delta 1, max_speed 30, time_to_max 30, curve 500
const MouseKeys k_default{.moves = {1,  1,  1,  1,  2,  3,  3,  4,  5,  5,  6,  7,  8,  9,  10, 11,
                                    12, 13, 14, 16, 17, 18, 19, 21, 22, 23, 25, 26, 28, 29, 30}};

MouseKeys linear(uint16_t delta, uint16_t step) {
    MouseKeys set{.moves = {delta}};
    for (uint16_t i = 1; i <= 30; ++i) set.moves.push_back(static_cast<uint16_t>(step * i));
    return set;
}

/// The ms in which anything moved, with how much, for a press to the right.
std::vector<std::pair<uint32_t, int64_t>> events(Rig& rig, uint32_t ms) {
    std::vector<std::pair<uint32_t, int64_t>> seen;
    for (uint32_t i = 0; i < ms; ++i)
        if (const Counts moved = rig.tick(); moved.x != 0) seen.emplace_back(i, moved.x);
    return seen;
}

}  // namespace

TEST_CASE(
    "mouse keys: delta 1, 30, 30, curve 500: all 31 moves at 0, 160, 200 ... 1320 ms, 390 counts in all") {
    Rig rig{k_default};
    rig.press(1, Direction::right);
    const auto seen = events(rig, 1321);
    REQUIRE(seen.size() == 31);
    for (size_t i = 0; i < seen.size(); ++i) {
        CAPTURE(i);
        CHECK(seen[i].first == (i == 0 ? 0 : 160 + (i - 1) * 40));
        CHECK(seen[i].second == k_default.moves[i]);
    }
    CHECK(rig.total == Counts{390, 0});
    const auto later = events(rig, 400);
    REQUIRE(later.size() == 10);
    for (const auto& [at, counts] : later) CHECK(counts == 30);
}

TEST_CASE("mouse keys: the totals of events 0 to 30 are 466, 2330, 901 and, to the left, -390") {
    Rig slow{linear(1, 1)}, fast{linear(5, 5)}, left{k_default};
    MouseKeys at_once{.moves = {1}};
    at_once.moves.resize(31, 30);  // curve -1000
    Rig sharp{at_once};
    CHECK(slow.hold(Direction::right, 1321) == Counts{466, 0});
    CHECK(fast.hold(Direction::down, 1321) == Counts{0, 2330});
    CHECK(sharp.hold(Direction::up, 1321) == Counts{0, -901});
    CHECK(left.hold(Direction::left, 1321) == Counts{-390, 0});
}

TEST_CASE("mouse keys: delta 5, 30, 30, curve 0 moves 5 at once and 150 a move after 30 intervals") {
    // Source: the specification's worked numbers (X Keyboard Extension library, "MouseKeysAccel").
    Rig rig{linear(5, 5)};
    rig.press(1, Direction::right);
    CHECK(rig.tick() == Counts{5, 0});
    CHECK(rig.run(159) == Counts{});
    rig.run(160 - 160 + 29 * 40);
    CHECK(rig.tick() == Counts{150, 0});
    CHECK(rig.run(39) == Counts{});
    CHECK(rig.tick() == Counts{150, 0});
}

TEST_CASE("mouse keys: diagonals move by the table on both axes, opposites wait") {
    Rig rig{k_default};
    rig.press(1, Direction::down_right);
    CHECK(rig.run(1321) == Counts{390, 390});
    rig.press(2, Direction::up_left);
    rig.tick();
    CHECK(rig.run(1000) == Counts{});
    rig.lift(2);
    CHECK(rig.run(40) == Counts{30, 30});
}

TEST_CASE("mouse keys: the release ends it in the same tick, and the next press starts with event 0") {
    Rig rig{k_default};
    CHECK(rig.hold(Direction::right, 1000, 500).x > 100);
    CHECK(rig.hold(Direction::right, 160, 500) == Counts{1, 0});
    CHECK(rig.hold(Direction::right, 161, 500) == Counts{2, 0});
}

TEST_CASE("mouse keys: a scale of 500 permille gives 195 of 390 counts, 2000 gives 780, each move within 1") {
    for (const uint16_t permille : std::initializer_list<uint16_t>{500, 2000, 4000, 50}) {
        CAPTURE(permille);
        Rig rig{k_default};
        rig.motion.set_scale(permille);
        rig.press(1, Direction::right);
        double exact = 0;
        for (size_t i = 0; i <= 30; ++i) {
            rig.run(i == 0 ? 160 : 40);
            exact += k_default.moves[i] * permille / 1000.0;
            CHECK(static_cast<double>(rig.total.x) >= exact - 0.51);
            CHECK(static_cast<double>(rig.total.x) <= exact + 1);
        }
    }
}

TEST_CASE("mouse keys: infrared events after the first wait for a repeat at or after the delay of 160 ms") {
    Rig rig{k_default};
    rig.press(1, Direction::right, 0, false);
    rig.run(108);
    rig.hear(1);
    CHECK(rig.run(108) == Counts{});
    rig.hear(1);
    const auto seen = events(rig, 81);
    REQUIRE(seen.size() == 3);
    CHECK(seen[0] == std::pair<uint32_t, int64_t>{0, 1});
    CHECK(seen[2].first == 80);
}

TEST_CASE("mouse keys: moves of 65,535 counts saturate at 16 bits and leave nothing for after the release") {
    Rig rig{MouseKeys{.delay_ms = 10, .interval_ms = 8, .moves = {1, 65535}}};
    rig.motion.set_scale(4000);
    rig.press(1, Direction::right);
    rig.run(10);
    CHECK(rig.tick() == Counts{32767, 0});
    rig.lift(1);
    CHECK(rig.run(50) == Counts{});
}

TEST_CASE("mouse keys: an interval of 0 from a damaged image does not stop the device: one move a ms") {
    Rig rig{MouseKeys{.delay_ms = 0, .interval_ms = 0, .moves = {1, 2}}};
    rig.press(1, Direction::right);
    CHECK(rig.run(10) == Counts{21, 0});
}

TEST_CASE(
    "mouse keys: from a speed table to an event table and back, each starts over when it takes the lead") {
    Rig rig{k_default, Travel{.first_step = 0, .ramp_ms = 800, .points = line(0, 8 * k_one)}};
    rig.press(1, Direction::right, 1);
    rig.run(400);
    rig.press(2, Direction::right, 0);
    rig.tick();
    rig.lift(1);
    CHECK(rig.run(40) == Counts{});
    CHECK(rig.tick() == Counts{1, 0});
    rig.press(3, Direction::right, 1);
    rig.tick();
    rig.lift(2);
    CHECK(rig.run(100) == Counts{50, 0});  // 0 to 0.99 counts a ms: 49.5
}

TEST_CASE("mouse keys: any table, delay, interval and hold gives exactly the sum of its events") {
    const bool is_true = rc::check("event sums", [] {
        MouseKeys set;
        set.delay_ms = *rc::gen::inRange<uint16_t>(0, 5001);
        set.interval_ms = *rc::gen::inRange<uint16_t>(8, 1001);
        const size_t count = *rc::gen::inRange<size_t>(2, 62);
        set.moves = *rc::gen::container<std::vector<uint16_t>>(count, rc::gen::inRange<uint16_t>(0, 8000));
        Rig rig{set};
        const uint32_t ms = *rc::gen::inRange<uint32_t>(1, 20000);
        int64_t sum = set.moves[0];
        for (uint32_t i = 1, at = set.delay_ms; at < ms; ++i, at += set.interval_ms)
            sum += set.moves[std::min<size_t>(i, count - 1)];
        RC_ASSERT(rig.hold(Direction::down_left, ms) == (Counts{-sum, sum}));
    });
    CHECK(is_true);
}

}  // namespace motion_test
