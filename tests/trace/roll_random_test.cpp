// Random rolls against the slow model of slow_roll.hpp: lanes, signals, jumps.
#include <doctest/doctest.h>

#include <rapidcheck.h>

#include <vector>

#include "tests/trace/events.hpp"
#include "tests/trace/slow_roll.hpp"

using namespace fettle;
using namespace fettle::test;
using trace::Column;
using trace::Lane;
using trace::LaneKind;
using trace::Reach;
using trace::Roll;
using trace::Signal;
using trace::Wanted;

namespace {

std::vector<Lane> lanes_to_look_at() {
    std::vector<Lane> all;
    for (std::uint8_t kind = 0; kind < trace::k_lane_kinds; ++kind) {
        all.push_back({static_cast<LaneKind>(kind), 0});
        if (kind < trace::k_input_lane_kinds) all.push_back({static_cast<LaneKind>(kind), 2});
    }
    all.push_back({LaneKind::level, 23});
    return all;
}

struct View {
    std::int64_t from_us, to_us;
    std::size_t count;
};

std::size_t columns_that_differ(const Roll& roll, const SlowRoll& slow, Lane lane, const View& view) {
    std::vector<Column> fast(view.count);
    roll.columns(lane, view.from_us, view.to_us, view.count, fast);
    std::size_t wrong = 0;
    for (std::size_t i = 0; i < view.count; ++i) {
        const auto a = trace::column_begin_us(i, view.from_us, view.to_us, view.count);
        const auto b = trace::column_begin_us(i + 1, view.from_us, view.to_us, view.count);
        const Column want = slow.column(lane, a, b);
        if (fast[i] == want) continue;
        if (wrong++ == 0) {
            INFO("lane " << static_cast<int>(lane.kind) << " input " << int{lane.input} << " [" << a << ", "
                         << b << ")");
            CHECK(fast[i].was_on == want.was_on);
            CHECK(fast[i].was_off == want.was_off);
            CHECK(fast[i].was_unknown == want.was_unknown);
            CHECK(fast[i].number == want.number);
            CHECK(fast[i].is_mixed == want.is_mixed);
            CHECK(fast[i].begins == want.begins);
        }
    }
    return wrong;
}

std::size_t reaches_that_differ(const Roll& roll, const SlowRoll& slow, Signal which, const View& view) {
    std::vector<Reach> fast(view.count);
    roll.signal(which, view.from_us, view.to_us, view.count, fast);
    std::size_t wrong = 0;
    for (std::size_t i = 0; i < view.count; ++i) {
        const auto a = trace::column_begin_us(i, view.from_us, view.to_us, view.count);
        const auto b = trace::column_begin_us(i + 1, view.from_us, view.to_us, view.count);
        const Reach want = slow.reach(which, a, b);
        if (fast[i] == want) continue;
        if (wrong++ == 0) {
            INFO("signal " << static_cast<int>(which) << " [" << a << ", " << b << ")");
            CHECK(fast[i].is_known == want.is_known);
            CHECK(fast[i].least == want.least);
            CHECK(fast[i].most == want.most);
            CHECK(fast[i].last == want.last);
        }
    }
    return wrong;
}

/// Everything, a part, a part finer than a us a column, and far beyond both ends.
std::vector<View> views_of(const Roll& roll, std::int64_t somewhere_us) {
    const std::int64_t long_us = roll.last_us() - roll.first_us();
    return {{roll.first_us(), roll.last_us() + 1, 7},
            {roll.first_us() - 1000, roll.last_us() + 200000, 40},
            {somewhere_us, somewhere_us + long_us / 5 + 1, 60},
            {somewhere_us, somewhere_us + 13, 40}};
}

void check_like_the_slow_one(const Roll& roll, std::int64_t somewhere_us) {
    const SlowRoll slow(roll);
    for (const View& view : views_of(roll, somewhere_us)) {
        for (const Lane lane : lanes_to_look_at()) CHECK(columns_that_differ(roll, slow, lane, view) == 0);
        for (const Signal which : {Signal::x, Signal::y, Signal::speed, Signal::scale})
            CHECK(reaches_that_differ(roll, slow, which, view) == 0);
    }
}

bool jumps_alike(const Roll& roll, const SlowRoll& slow, std::int64_t us) {
    bool is_alike = true;
    for (const Lane lane : lanes_to_look_at()) {
        is_alike = is_alike && roll.next_mark(lane, us) == slow.next_mark(lane, us) &&
                   roll.previous_mark(lane, us) == slow.previous_mark(lane, us) &&
                   roll.lane_at(lane, us) == slow.state(lane, us);
    }
    for (std::uint8_t kind = 0; kind < trace::k_wanted_kinds; ++kind) {
        const auto wanted = static_cast<Wanted>(kind);
        std::optional<Roll::Found> next, previous;
        for (const auto& found : slow.found(wanted)) {
            if (found.at_us < us) previous = found;
            if (found.at_us > us && !next) next = found;
        }
        is_alike = is_alike && roll.find_next(us, wanted) == next &&
                   roll.find_previous(us, wanted) == previous &&
                   roll.count_of(wanted) == slow.found(wanted).size();
    }
    return is_alike;
}

}  // namespace

TEST_CASE(
    "roll: 24 random rolls of up to 900 events draw as the slow model does, in 30 lanes and 4 signals") {
    for (std::uint32_t seed = 1; seed <= 24; ++seed) {
        CAPTURE(seed);
        Mix mix;
        mix.seed = seed;
        mix.count = seed * 37;
        mix.begins_with_snapshot = seed % 3 != 0;
        mix.gaps_permille = seed % 4 == 0 ? 60 : 5;
        mix.snapshots_permille = seed % 5 == 0 ? 60 : 10;
        const Roll roll = random_roll(mix);
        check_like_the_slow_one(roll, roll.at(roll.size() / 2).at_us);
    }
}

TEST_CASE("roll: 3 random rolls whose steps are 0 to 2 us and whose gaps touch draw as the slow model does") {
    for (std::uint32_t seed = 100; seed < 103; ++seed) {
        CAPTURE(seed);
        Mix mix;
        mix.seed = seed;
        mix.count = 400;
        mix.longest_step_us = 2;
        mix.most_slip_us = 5;
        mix.gaps_permille = 150;
        mix.snapshots_permille = 150;
        const Roll roll = random_roll(mix);
        check_like_the_slow_one(roll, roll.at(200).at_us);
    }
}

TEST_CASE(
    "roll: a random roll of 6,000 events with deep pyramids draws as the slow model does in 7 columns") {
    Mix mix;
    mix.seed = 7;
    mix.count = 6000;
    const Roll roll = random_roll(mix);
    const SlowRoll slow(roll);
    const View view{roll.first_us() + 777, roll.last_us() - 999, 7};
    for (const Lane lane : lanes_to_look_at()) CHECK(columns_that_differ(roll, slow, lane, view) == 0);
    for (const Signal which : {Signal::x, Signal::y, Signal::speed, Signal::scale})
        CHECK(reaches_that_differ(roll, slow, which, view) == 0);
}

TEST_CASE(
    "roll: jumps, states and marks of 30 lanes at 300 times of a random roll are those of the slow model") {
    Mix mix;
    mix.seed = 11;
    mix.count = 700;
    mix.gaps_permille = 30;
    const Roll roll = random_roll(mix);
    const SlowRoll slow(roll);
    std::size_t wrong = 0;
    for (std::int64_t i = -3; i < 297; ++i) {
        const std::int64_t us = roll.first_us() + i * (roll.last_us() - roll.first_us()) / 290;
        wrong += std::size_t{!jumps_alike(roll, slow, us)};
    }
    for (std::size_t i = 0; i < roll.size(); i += 9)
        wrong += std::size_t{!jumps_alike(roll, slow, roll.at(i).at_us)};
    CHECK(wrong == 0);
}

TEST_CASE("roll: any drawn view of any drawn roll is what the slow model says (property)") {
    const bool held = rc::check("columns and signals", [] {
        Mix mix;
        mix.seed = *rc::gen::arbitrary<std::uint32_t>();
        mix.count = *rc::gen::inRange<std::size_t>(1, 250);
        mix.longest_step_us = *rc::gen::element<std::int64_t>(0, 3, 500, 90000);
        mix.most_slip_us = *rc::gen::element<std::int64_t>(0, 2, 400);
        mix.gaps_permille = *rc::gen::element(0, 10, 100);
        mix.snapshots_permille = *rc::gen::element(0, 10, 100);
        mix.begins_with_snapshot = *rc::gen::arbitrary<bool>();
        const Roll roll = random_roll(mix);
        const SlowRoll slow(roll);
        const std::int64_t long_us = roll.last_us() - roll.first_us() + 2000;
        View view{};
        view.from_us = roll.first_us() - 1000 + *rc::gen::inRange<std::int64_t>(0, long_us);
        view.to_us = view.from_us + *rc::gen::inRange<std::int64_t>(0, long_us);
        view.count = *rc::gen::inRange<std::size_t>(1, 30);
        const auto lanes = lanes_to_look_at();
        const Lane lane = lanes[*rc::gen::inRange<std::size_t>(0, lanes.size())];
        const auto which = static_cast<Signal>(*rc::gen::inRange(0, 4));
        RC_ASSERT(columns_that_differ(roll, slow, lane, view) == 0);
        RC_ASSERT(reaches_that_differ(roll, slow, which, view) == 0);
        RC_ASSERT(jumps_alike(roll, slow, view.from_us));
    });
    CHECK(held);
}
