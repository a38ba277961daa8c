// The promise of exactness: at every ms of a hold up to 60 s, what was emitted is within 1 count an axis of
// the exact sum of the table (motion_model.hpp, long double), for any table, direction, scale and order of
// joining presses.

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include <cmath>

#include "tests/engine/motion_model.hpp"

namespace motion_test {

namespace {

/// Ticks both and holds them against each other; errors are checked at each ms.
class Pair {
public:
    explicit Pair(const Travel& set) : rig(set), model(set) {}
    void press(uint8_t input, Direction d) {
        if (!model.is_holding()) base_ = rig.total;
        rig.press(input, d);
        model.press(input, d);
    }
    void lift(uint8_t input) {
        rig.lift(input);
        model.lift(input);
    }
    void scale(uint16_t permille) {
        rig.motion.set_scale(permille);
        scale_ = permille / 1000.0L;
    }
    /// The largest error on either axis in these ms.
    long double run(uint32_t ms) {
        long double worst = 0;
        for (uint32_t i = 0; i < ms; ++i) {
            rig.tick();
            model.tick(scale_);
            if (!model.is_holding()) continue;
            worst = std::max(worst, std::abs(model.x - static_cast<long double>(rig.total.x - base_.x)));
            worst = std::max(worst, std::abs(model.y - static_cast<long double>(rig.total.y - base_.y)));
        }
        return worst;
    }
    Rig rig;
    Model model;

private:
    Counts base_;
    long double scale_ = 1;
};

rc::Gen<std::vector<uint32_t>> tables(uint32_t top) {
    return rc::gen::container<std::vector<uint32_t>>(k_curve_points, rc::gen::inRange<uint32_t>(0, top));
}

Travel any_set(uint32_t top) {
    Travel set;
    set.delay_ms = *rc::gen::inRange<uint16_t>(0, 600);
    set.first_step = *rc::gen::element<uint8_t>(0, 1, 2, 7, 40, 255);
    set.ramp_ms = *rc::gen::oneOf(rc::gen::inRange<uint16_t>(0, 20), rc::gen::inRange<uint16_t>(0, 20001));
    set.points = *tables(top);
    return set;
}

Direction any_direction() {
    return k_all[*rc::gen::inRange(0, 8)];
}

uint16_t any_scale() {
    return *rc::gen::oneOf(rc::gen::just<uint16_t>(1000), rc::gen::inRange<uint16_t>(50, 4001));
}

}  // namespace

TEST_CASE(
    "motion: any table held for 60 s in any direction at any scale stays within 1 count of its exact sum") {
    const bool is_true = rc::check("60 s holds", [] {
        // Up to 16 counts a ms, the most that a profile can ask for, and tables of slow speeds.
        Pair pair(any_set(*rc::gen::element<uint32_t>(60, 6000, 16 * k_one)));
        pair.scale(any_scale());
        pair.press(3, any_direction());
        RC_ASSERT(pair.run(60000) <= 1);
    });
    CHECK(is_true);
}

TEST_CASE("motion: the largest Q16 speed of 255.99 counts a ms at a scale of 4000 stays exact for 60 s") {
    for (const Direction d : {Direction::left, Direction::down_right}) {
        Pair pair(Travel{.points = flat(0xFFFFFF)});
        pair.scale(4000);
        pair.press(1, d);
        CHECK(pair.run(60000) <= 1);
    }
}

TEST_CASE(
    "motion: presses that join and leave and scales that change at random stay within 1 count of the exact "
    "sum") {
    const bool is_true = rc::check("joined holds", [] {
        Pair pair(any_set(*rc::gen::element<uint32_t>(6000, 16 * k_one)));
        std::vector<uint8_t> held;
        for (int i = 0; i < 30; ++i) {
            const bool is_press = held.empty() || (held.size() < 6 && *rc::gen::arbitrary<bool>());
            if (is_press) {
                uint8_t input = 0;
                while (std::find(held.begin(), held.end(), input) != held.end()) ++input;
                held.push_back(input);
                pair.press(input, any_direction());
            } else {
                const size_t at = *rc::gen::inRange<size_t>(0, held.size());
                pair.lift(held[at]);
                held.erase(held.begin() + static_cast<std::ptrdiff_t>(at));
            }
            if (*rc::gen::inRange(0, 4) == 0) pair.scale(any_scale());
            RC_ASSERT(pair.run(*rc::gen::inRange<uint32_t>(1, 700)) <= 1);
        }
    });
    CHECK(is_true);
}

TEST_CASE("motion: a repeated press is equal to the one before, whatever came in between") {
    const bool is_true = rc::check("equal presses", [] {
        const Travel set = any_set(4 * k_one);
        Rig rig(set);
        rig.motion.set_scale(any_scale());
        const Direction d = any_direction();
        const uint32_t ms = *rc::gen::inRange<uint32_t>(1, 2000);
        const Counts first = rig.hold(d, ms);
        rig.hold(any_direction(), *rc::gen::inRange<uint32_t>(1, 2000));
        RC_ASSERT(rig.hold(d, ms) == first);
    });
    CHECK(is_true);
}

TEST_CASE("motion: whatever was pressed, after the last release nothing comes and nothing is held") {
    const bool is_true = rc::check("silence", [] {
        Rig rig(any_set(16 * k_one));
        for (int i = 0; i < 40; ++i) {
            const uint8_t input = *rc::gen::inRange<uint8_t>(0, 9);
            switch (*rc::gen::inRange(0, 4)) {
                case 0: rig.press(input, any_direction(), 0, *rc::gen::arbitrary<bool>()); break;
                case 1: rig.lift(input); break;
                case 2: rig.hear(input); break;
                case 3: rig.run(*rc::gen::inRange<uint32_t>(0, 300)); break;
            }
        }
        for (uint8_t input = 0; input < 9; ++input) rig.lift(input);
        rig.tick();  // a first step that was pressed in this very ms
        RC_ASSERT(rig.run(100) == Counts{});
        RC_ASSERT(rig.motion.is_still());
    });
    CHECK(is_true);
}

}  // namespace motion_test
