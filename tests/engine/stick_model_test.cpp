// stick.cpp against the slow model of stick_model.hpp on random hands.

#include "tests/engine/stick_model.hpp"
#include "tests/support/dice.hpp"

#include <doctest/doctest.h>

#include <string>

namespace fettle::engine {
namespace {

using stick_model::Counts;
using stick_model::Directions;
using stick_model::LowPass;
using stick_model::Position;
using stick_model::Real;
using stick_model::Rest;
using test::Dice;

StickDef random_def(Dice& dice) {
    StickDef def = {};
    def.style = static_cast<StickStyle>(dice.below(3));
    def.flags = static_cast<uint8_t>(dice.below(2));
    def.shift = static_cast<uint8_t>(dice.below(5));
    def.rotation = static_cast<uint8_t>(dice.one_in(3) ? 0 : dice.below(256));
    def.rest_limit = static_cast<uint8_t>(dice.within(10, 60));
    def.dead_permille = static_cast<uint16_t>(dice.one_in(8) ? dice.below(901) : dice.below(300));
    def.tau_ms = static_cast<uint16_t>(dice.one_in(3) ? 0 : dice.within(1, 150));
    for (uint8_t& gain : def.gains) gain = static_cast<uint8_t>(dice.one_in(2) ? 64 : dice.below(256));
    def.on_permille = static_cast<uint16_t>(dice.one_in(8) ? 0 : dice.within(100, 900));
    def.off_permille = static_cast<uint16_t>(dice.within(1, 99 + def.on_permille / 2));
    def.hysteresis = static_cast<uint8_t>(dice.below(16));
    for (uint16_t& point : def.points) point = static_cast<uint16_t>(dice.below(65536));
    def.step_counts = static_cast<uint8_t>(dice.within(1, 255));
    def.fast_ms = static_cast<uint16_t>(dice.within(20, 200));
    def.slow_ms = static_cast<uint16_t>(dice.within(def.fast_ms, 600));
    return def;
}

/// A hand: where it wants to be changes now and then; it goes there straight, and shakes.
class Hand {
public:
    explicit Hand(Dice& dice) : dice_(dice) {}
    void move() {
        if (left_-- == 0) {
            const bool lets_go = dice_.one_in(3);
            to_x_ = lets_go ? 0 : dice_.within(-1000, 1000);
            to_y_ = lets_go ? 0 : dice_.within(-1000, 1000);
            shake_ = dice_.one_in(2) ? 0 : dice_.within(1, 80);
            left_ = dice_.within(1, dice_.one_in(4) ? 800 : 120);
        }
        x_ += (to_x_ - x_) / 8;
        y_ += (to_y_ - y_) / 8;
    }
    int x() const { return x_ + dice_.within(-shake_, shake_); }
    int y() const { return y_ + dice_.within(-shake_, shake_); }

private:
    Dice& dice_;
    int x_ = 0, y_ = 0, to_x_ = 0, to_y_ = 0, shake_ = 0, left_ = 0;
};

/// One stick and its model.
class Pair {
public:
    Pair(const StickDef& def, int rest_x, int rest_y)
        : def_(def), rest_{Rest(4 * rest_x), Rest(4 * rest_y)}, at_rest_{rest_x, rest_y} {
        stick_.reset();
        for (unsigned ms = 0; ms < k_stick_learn_ms; ++ms)
            stick_.tick(static_cast<int16_t>(rest_x), static_cast<int16_t>(rest_y), def_);
    }

    /// Empty when all is as it should be.
    const char* look(int hand_x, int hand_y, Dice& dice) {
        const int raw[2] = {std::clamp(at_rest_[0] + hand_x, -1000, 1000),
                            std::clamp(at_rest_[1] + hand_y, -1000, 1000)};
        StickStep step = stick_.tick(static_cast<int16_t>(raw[0]), static_cast<int16_t>(raw[1]), def_);
        // What the axes do in the other 3 ms is not looked at.
        for (int other = 1; other < k_stick_look_ms; ++other) {
            const StickStep now = stick_.tick(static_cast<int16_t>(dice.within(-1000, 1000)), 0, def_);
            if (now.is_new) step = now;
            step.directions = now.directions;
        }
        int64_t at[2];
        for (int i = 0; i < 2; ++i) {
            const int64_t from_rest = std::clamp<int64_t>(4 * raw[i] - rest_[i].at(), -4000, 4000);
            at[i] = low_pass_[i].to(from_rest, def_.tau_ms);
        }
        const char* wrong = position(step, at[0], at[1]);
        if (counts_.look(step, def_) > 1) wrong = "counts";
        if (!directions_.agrees(step, def_)) wrong = "directions";
        if (stick_.rest(0) != rest_[0].at() || stick_.rest(1) != rest_[1].at()) wrong = "rest";
        moved += std::abs(step.dx) + std::abs(step.dy);
        if (step.directions != before_) ++changes;
        before_ = step.directions;
        is_still = (step.x | step.y | step.dx | step.dy | step.directions) == 0;
        return wrong;
    }

    long moved = 0, changes = 0, away = 0;
    bool is_still = true;

private:
    const char* position(const StickStep& step, int64_t x, int64_t y) {
        const auto r = std::llround(std::hypot(static_cast<Real>(x), static_cast<Real>(y)));
        if (r <= 4 * def_.dead_permille) {
            if (++near_looks_ % 64 == 0) {
                rest_[0].near(x, 16 * def_.rest_limit);
                rest_[1].near(y, 16 * def_.rest_limit);
            }
            return (step.x | step.y) == 0 ? nullptr : "not at rest";
        }
        near_looks_ = 0;
        ++away;
        const Position p = stick_model::shaped(x, y, def_);
        return std::abs(p.x - step.x) <= p.error && std::abs(p.y - step.y) <= p.error ? nullptr : "position";
    }

    const StickDef def_;
    Stick stick_;
    Rest rest_[2];
    const int at_rest_[2];
    LowPass low_pass_[2];
    Counts counts_;
    Directions directions_;
    unsigned near_looks_ = 0;
    uint8_t before_ = 0;
};

TEST_CASE(
    "stick: 1,000,000 random looks under 1,000 records are those of the slow model, and all comes to rest") {
    Dice dice(20262);
    long moved = 0, changes = 0, away = 0;
    unsigned left = 0;
    for (unsigned round = 0; round < 1000; ++round) {
        const StickDef def = random_def(dice);
        const int limit = 2 * def.rest_limit;
        Pair pair(def, dice.within(-limit, limit), dice.within(-limit, limit));
        Hand hand(dice);
        for (unsigned look = 0; look < 1000; ++look) {
            hand.move();
            if (const char* wrong = pair.look(hand.x(), hand.y(), dice)) {
                CAPTURE(round);
                CAPTURE(look);
                FAIL(std::string(wrong));
            }
        }
        for (unsigned look = 0; look < 500; ++look) pair.look(0, 0, dice);
        if (!pair.is_still) ++left;
        moved += pair.moved;
        changes += pair.changes;
        away += pair.away;
    }
    CHECK(left == 0);
    // The comparison is worth something only if much happened.
    CHECK(moved > 1000000);
    CHECK(changes > 4000);
    CHECK(away > 300000);
}

TEST_CASE("stick: at every ms of pushes of 60 s counts are within 1 of the exact sum, for 40 records") {
    Dice dice(20269);
    for (unsigned round = 0; round < 40; ++round) {
        StickDef def = random_def(dice);
        def.style = round % 4 == 0 ? StickStyle::steps : StickStyle::speed;
        def.dead_permille = static_cast<uint16_t>(dice.below(200));
        Stick stick;
        stick.reset();
        for (unsigned ms = 0; ms < k_stick_learn_ms; ++ms) stick.tick(0, 0, def);
        Counts counts;
        Real worst = 0;
        const int x = dice.within(-1000, 1000), y = dice.within(300, 1000);
        int wobble = 0;
        for (int ms = 0; ms < 60000; ++ms) {
            if (ms % 4 == 0 && round % 2 != 0) wobble = dice.within(-50, 50);
            const StickStep step = stick.tick(static_cast<int16_t>(std::clamp(x + wobble, -1000, 1000)),
                                              static_cast<int16_t>(y - std::abs(wobble)), def);
            if (step.is_new) worst = std::max(worst, counts.look(step, def));
        }
        CAPTURE(round);
        CHECK(worst <= 1);
    }
}

}  // namespace
}  // namespace fettle::engine
