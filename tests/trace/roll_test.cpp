#include "core/trace/roll.hpp"

#include <doctest/doctest.h>

#include <array>
#include <utility>
#include <vector>

#include "core/trace/record.hpp"
#include "tests/trace/events.hpp"

using namespace fettle;
using namespace fettle::test;
using engine::Event;
using engine::EventKind;
using engine::PressOutcome;
using trace::Column;
using trace::Lane;
using trace::LaneKind;
using trace::LaneState;
using trace::Roll;
using trace::Wanted;

namespace {

constexpr Lane k_level{LaneKind::level, 0};
constexpr Lane k_press{LaneKind::press, 0};
constexpr LaneState k_unknown{};
constexpr LaneState k_off{true, false, trace::k_no_number};
constexpr LaneState on(std::uint16_t number = 0) {
    return {true, true, number};
}

bool is_equal(const Event& a, const Event& b) {
    return a.kind == b.kind && std::equal(std::begin(a.data), std::end(a.data), std::begin(b.data));
}

Column column(const Roll& roll, Lane lane, std::int64_t from_us, std::int64_t to_us) {
    Column made;
    roll.columns(lane, from_us, to_us, 1, {&made, 1});
    return made;
}

}  // namespace

TEST_CASE("roll: 3,000 random events come back equal by index and by walking, times that go back included") {
    Mix mix;
    mix.count = 3000;
    mix.most_slip_us = 5000;
    const auto moments = random_moments(mix).moments;
    Roll roll;
    std::vector<trace::Moment> kept;
    for (const auto& moment : moments) {
        if (trace::is_gap(moment.event)) continue;
        REQUIRE(roll.append(moment.at_us, moment.event));
        kept.push_back(moment);
    }
    REQUIRE(roll.size() == kept.size());
    std::size_t wrong = 0, at = 0;
    trace::Moment moment;
    for (auto walk = roll.walk(); walk.next(moment); ++at) {
        wrong += std::size_t{walk.index() != at || moment.at_us != kept[at].at_us};
        wrong += std::size_t{!is_equal(moment.event, kept[at].event)};
        wrong +=
            std::size_t{roll.at(at).at_us != kept[at].at_us || !is_equal(roll.at(at).event, kept[at].event)};
        wrong += std::size_t{moment.event.at_us != static_cast<std::uint32_t>(kept[at].at_us)};
    }
    CHECK(at == kept.size());
    CHECK(wrong == 0);
}

TEST_CASE("roll: index_at and walk_between of 200 times agree with looking at every event") {
    Mix mix;
    mix.seed = 5;
    mix.count = 1500;
    mix.most_slip_us = 9000;
    const Roll roll = random_roll(mix);
    std::size_t wrong = 0;
    for (std::int64_t i = -2; i < 202; ++i) {
        const std::int64_t us = roll.first_us() + i * (roll.last_us() - roll.first_us()) / 200;
        std::size_t index = 0;
        while (index < roll.size() && roll.at(index).at_us < us) ++index;
        wrong += std::size_t{roll.index_at(us) != index};
        auto walk = roll.walk_between(us, us + 30000);
        trace::Moment moment;
        for (std::size_t k = 0; k < roll.size(); ++k) {
            const std::int64_t at_us = roll.at(k).at_us;
            if (at_us < us || at_us >= us + 30000) continue;
            wrong += std::size_t{!walk.next(moment) || walk.index() != k};
        }
        wrong += std::size_t{walk.next(moment)};
    }
    CHECK(wrong == 0);
}

TEST_CASE("roll: a kind of which nothing is known, and a gap as an event, are not recorded") {
    Roll roll;
    CHECK_FALSE(roll.append(0, event(static_cast<EventKind>(25), {1})));
    CHECK_FALSE(roll.append(0, event(static_cast<EventKind>(255), {1})));
    CHECK_FALSE(roll.append(0, event(EventKind::none, {1})));
    CHECK(roll.is_empty());
    CHECK(roll.first_us() == 0);
    CHECK(roll.index_at(0) == 0);
    CHECK(roll.lane_at(k_level, 0) == k_unknown);
    CHECK(column(roll, k_level, 0, 10) == Column{});
}

TEST_CASE("roll: moved, the new one has the 2 events and the old one is empty and takes new ones") {
    Roll roll;
    roll.append(5, level(0, true));
    roll.append(6, level(0, false));
    Roll other(std::move(roll));
    CHECK(other.size() == 2);
    CHECK(roll.is_empty());  // what roll.hpp promises
    roll.append(9, level(1, true));
    CHECK(roll.first_us() == 9);
    other = std::move(roll);
    CHECK(other.size() == 1);
    other.clear({1, 2, true, 9, 9});
    CHECK(other.is_empty());
    CHECK(other.info() == trace::RollInfo{1, 2, true, 0, 0});
}

TEST_CASE("roll: an infrared frame 5,000 us before its predecessor keeps its time in the lane") {
    Roll roll;
    roll.append(0, snapshot(0, 0));
    roll.append(20000, level(0, true));
    roll.append(15000, infrared(1, false, 7));
    CHECK(roll.at(2).at_us == 15000);
    CHECK(roll.next_mark({LaneKind::infrared, 0}, 0) == 15000);
    CHECK(roll.last_us() == 20000);
    CHECK(column(roll, {LaneKind::infrared, 0}, 15000, 15001).number == 17);
}

TEST_CASE("roll: a level 300 us before the lane's last entry counts as at that entry's time") {
    Roll roll;
    roll.append(0, snapshot(0, 0));
    roll.append(20000, level(0, true));
    roll.append(19700, level(0, false));
    CHECK(roll.lane_at(k_level, 19999) == k_off);
    CHECK(roll.lane_at(k_level, 20000) == k_off);
    const Column at_once = column(roll, k_level, 20000, 20001);
    CHECK(at_once.was_on);
    CHECK(at_once.was_off);
    CHECK(at_once.begins == 1);
}

TEST_CASE("roll: a press of 30 ms: level, press, gesture and action each stand in their lanes") {
    Roll roll;
    roll.append(0, snapshot(3, 0));
    roll.append(10000, level(0, true));
    roll.append(12000, press(0, PressOutcome::accepted));
    roll.append(12000, event(EventKind::gesture, {0, 1, 3, 7}));
    roll.append(12000, event(EventKind::action, {0, 7, 0}));
    roll.append(40000, level(0, false));
    roll.append(41000, press(0, PressOutcome::ended));
    roll.append(41000, event(EventKind::action, {0, 7, 1}));
    CHECK(roll.lane_at(k_level, 9999) == k_off);
    CHECK(roll.lane_at(k_level, 10000) == on());
    CHECK(roll.lane_at(k_press, 11999) == k_off);
    CHECK(roll.lane_at(k_press, 40999) == on());
    CHECK(roll.lane_at(k_press, 41000) == k_off);
    CHECK(roll.lane_at({LaneKind::action, 0}, 20000) == on(7));
    CHECK(roll.lane_at({LaneKind::mode, 0}, 20000) == on(3));
    CHECK(column(roll, {LaneKind::gesture, 0}, 0, 50000).number == 1);
    CHECK(column(roll, {LaneKind::gesture, 0}, 0, 50000).begins == 1);
    CHECK(roll.next_mark(k_level, 10000) == std::nullopt);
    CHECK(roll.next_mark(k_level, 9999) == 10000);
    CHECK(roll.previous_mark(k_level, 10001) == 10000);
    CHECK(roll.previous_mark(k_level, 10000) == std::nullopt);
}

TEST_CASE("roll: a gap closes a level until the snapshot 50 ms later; the last event's time is still known") {
    Roll roll;
    roll.append(0, snapshot(1, 0));
    roll.append(10000, level(0, true));
    roll.append(10000, press(0, PressOutcome::accepted));
    roll.append_gap(4);
    roll.append(60000, snapshot(1, 1));
    roll.append(70000, level(0, false));
    CHECK(roll.lane_at(k_level, 10000) == on());
    CHECK(roll.lane_at(k_level, 10001) == k_unknown);
    CHECK(roll.lane_at(k_press, 30000) == k_unknown);
    CHECK(roll.lane_at({LaneKind::mode, 0}, 30000) == k_unknown);
    CHECK(roll.lane_at({LaneKind::lost, 0}, 30000) == on(4));
    CHECK(roll.lane_at(k_level, 60000) == on());
    CHECK(roll.lane_at(k_press, 60000) == on());
    CHECK(roll.lane_at({LaneKind::lost, 0}, 60000) == k_off);
    CHECK(column(roll, k_level, 0, 80000).begins == 1);
    CHECK(roll.info().batches_lost == 4);
    CHECK(trace::is_gap(roll.at(3).event));
    CHECK(trace::gap_batches(roll.at(3).event) == 4);
    CHECK(roll.find_next(0, Wanted::telemetry_lost) == Roll::Found{3, 10001});
}

TEST_CASE("roll: after a gap a snapshot without input 0 ends its press and its action at 60,000 us") {
    Roll roll;
    roll.append(0, snapshot(1, 0));
    roll.append(10000, level(0, true));
    roll.append(10000, press(0, PressOutcome::accepted));
    roll.append(10000, event(EventKind::action, {0, 2, 0}));
    roll.append(10000, keyboard(2, 4));
    roll.append_gap(1);
    roll.append(60000, snapshot(1, 0));
    CHECK(roll.lane_at(k_level, 60000) == k_off);
    CHECK(roll.lane_at(k_press, 60000) == k_off);
    CHECK(roll.lane_at({LaneKind::action, 0}, 60000) == k_off);
    CHECK(roll.lane_at({LaneKind::keyboard, 0}, 60000) == k_off);
}

TEST_CASE(
    "roll: an event after a gap makes its own lane known, though it says what was so before, no other's") {
    Roll roll;
    roll.append(0, snapshot(0, 0));
    roll.append_gap(1);
    roll.append(5000, level(0, false));
    CHECK(roll.lane_at(k_level, 4999) == k_unknown);
    CHECK(roll.lane_at(k_level, 5000) == k_off);
    CHECK(roll.lane_at({LaneKind::level, 1}, 5000) == k_unknown);
}

TEST_CASE("roll: `lost` closes the lanes from the event before it on, and counts 700 events") {
    Roll roll;
    roll.append(0, snapshot(0, 1));
    roll.append(9000, lost(700));
    CHECK(roll.lane_at(k_level, 0) == on());
    CHECK(roll.lane_at(k_level, 1) == k_unknown);
    CHECK(roll.info().events_lost == 700);
    CHECK(roll.find_next(0, Wanted::telemetry_lost) == Roll::Found{1, 1});
}

TEST_CASE("roll: before the first snapshot everything is unknown, but nothing is lost") {
    Roll roll;
    roll.append(0, event(EventKind::taken, {0}));
    roll.append(5000, snapshot(0, 0));
    CHECK(roll.lane_at(k_level, 4999) == k_unknown);
    CHECK(roll.lane_at(k_level, 5000) == k_off);
    CHECK(roll.lane_at({LaneKind::lost, 0}, 100) == k_off);
    CHECK(roll.count_of(Wanted::telemetry_lost) == 0);
}

TEST_CASE("roll: `released` and a new variant end presses that are down, with no `ended` of their own") {
    for (const EventKind kind : {EventKind::released, EventKind::variant}) {
        Roll roll;
        roll.append(0, snapshot(0, 0));
        roll.append(1000, press(0, PressOutcome::accepted));
        roll.append(2000, event(kind, {1}));
        CHECK(roll.lane_at(k_press, 1999) == on());
        CHECK(roll.lane_at(k_press, 2000) == k_off);
    }
}

TEST_CASE("roll: what lies outside of the recording is blank; heard until 9,000 us it is drawn until then") {
    Roll roll;
    roll.append(1000, snapshot(0, 1));
    CHECK(column(roll, k_level, 2000, 3000) == Column{});
    CHECK(roll.lane_at(k_level, 1001) == k_unknown);
    roll.extend_to(9000);
    CHECK(column(roll, k_level, 2000, 3000).was_on);
    CHECK(roll.last_us() == 9000);
    roll.extend_to(500);
    CHECK(roll.last_us() == 9000);
    CHECK(column(roll, k_level, 0, 1000) == Column{});
    CHECK(column(roll, k_level, 9001, 9999) == Column{});
}

TEST_CASE("roll: a lane that there is not is blank: input 24, an input of a lane of all, kind 99") {
    Roll roll;
    roll.append(0, snapshot(0, 0xFFFFFF));
    roll.append(10, level(24, true));
    CHECK(column(roll, {LaneKind::level, 24}, 0, 10) == Column{});
    CHECK(column(roll, {LaneKind::mode, 1}, 0, 10) == Column{});
    CHECK(column(roll, {static_cast<LaneKind>(99), 0}, 0, 10) == Column{});
    CHECK(roll.lane_at({LaneKind::level, 255}, 5) == k_unknown);
    CHECK_FALSE(roll.has_anything({LaneKind::level, 24}));
    CHECK(roll.has_anything({LaneKind::level, 23}));
}

TEST_CASE(
    "roll: columns of a view of 2^62 us, from after to before, and of none at all write what is asked") {
    Roll roll;
    roll.append(0, snapshot(0, 1));
    std::array<Column, 4> columns{};
    columns[3].begins = 77;
    roll.columns(k_level, INT64_MIN, INT64_MAX, 3, columns);
    CHECK(columns[1].was_on);
    CHECK(columns[3].begins == 77);
    roll.columns(k_level, 5, 1, 4, columns);
    roll.columns(k_level, 0, 9, 0, columns);
    CHECK(columns[3].begins == 77);
    roll.columns(k_level, 0, 9, 100000, columns);  // room for 4
    CHECK(columns[3].was_on);
    CHECK(roll.next_mark(k_level, INT64_MAX) == std::nullopt);
    CHECK(roll.previous_mark(k_level, INT64_MIN) == std::nullopt);
    CHECK(roll.previous_mark(k_level, INT64_MAX) == 0);
}

TEST_CASE(
    "roll: columns of any view touch one another, begin and end where it does (10 us in 4: 0 2 5 7 10)") {
    const std::int64_t want[] = {0, 2, 5, 7, 10};
    for (std::size_t i = 0; i <= 4; ++i) CHECK(trace::column_begin_us(i, 0, 10, 4) == want[i]);
    CHECK(trace::column_begin_us(1200, -trace::k_farthest_us, trace::k_farthest_us, 1200) ==
          trace::k_farthest_us);
}

TEST_CASE("roll: speed of 8 counts in 8 ms is 1,000 a second, and 0 from 100 ms after the last report on") {
    Roll roll;
    roll.append(0, snapshot(0, 0));
    roll.append(200000, pointer(3, 4));  // after a rest: 5 counts in 100 ms
    roll.append(208000, pointer(-8, 0));
    roll.extend_to(900000);
    std::array<trace::Reach, 1> reach{};
    const auto speed = [&](std::int64_t us) {
        roll.signal(trace::Signal::speed, us, us + 1, 1, reach);
        return reach[0].last;
    };
    CHECK(speed(199999) == 0);
    CHECK(speed(200000) == 50);
    CHECK(speed(208000) == 1000);
    CHECK(speed(307999) == 1000);
    CHECK(speed(308000) == 0);
    roll.signal(trace::Signal::x, 0, 900000, 1, reach);
    CHECK(reach[0] == trace::Reach{-5, 3, -5, true});
    roll.signal(trace::Signal::scale, 0, 900000, 1, reach);
    CHECK(reach[0] == trace::Reach{1000, 1000, 1000, true});
}

TEST_CASE("record: 11 bytes at most of payload; a report with bytes past its size comes back with them") {
    for (const Event& e :
         {event(EventKind::report, {1, 3, 1, 0xFF, 0x7F, 9, 9, 9}),
          event(EventKind::report, {7, 200, 1, 2, 3, 4, 5, 6, 7, 8}), event(EventKind::report, {1, 0}),
          event(EventKind::report, {0, 8, 0, 0, 0, 0, 0, 0, 0, 1}), snapshot(255, 0xFFFFFF)}) {
        std::uint8_t bytes[trace::k_longest_record_bytes];
        for (const std::int64_t delta_us : {std::int64_t{0}, std::int64_t{-1}, INT64_MIN, INT64_MAX}) {
            const std::size_t size = trace::put_record(bytes, delta_us, e);
            std::int64_t read_us = 77;
            Event read{};
            CHECK(trace::get_record(bytes, size, read_us, read) == size);
            CHECK(read_us == delta_us);
            CHECK(is_equal(read, e));
            for (std::size_t left = 0; left < size; ++left)
                CHECK(trace::get_record(bytes, left, read_us, read) == 0);
        }
    }
}

TEST_CASE("roll: a million events of a working day's mix take at most 24 bytes each") {
    // Travel is most of it: each report and its `taken`; presses between them; edges of a switch now and
    // then.
    Roll roll;
    roll.append(0, snapshot(0, 0));
    std::int64_t us = 0;
    for (int i = 0; roll.size() < 1000000; ++i) {
        const int input = i % 8;
        roll.append(us += 200000, level(input, true));
        roll.append(us, event(EventKind::edge, {1, 1}));
        roll.append(us += 20000, press(input, PressOutcome::accepted));
        roll.append(us, event(EventKind::gesture, {input, 0, 0, 1}));
        roll.append(us, event(EventKind::action, {input, 1, 0}));
        for (int k = 0; k < 25; ++k) {
            roll.append(us += 8000, pointer(1 + k % 7, input - 4));
            roll.append(us += 800, event(EventKind::taken, {1}));
        }
        roll.append(us += 3000, level(input, false));
        roll.append(us += 15000, press(input, PressOutcome::ended));
        roll.append(us, event(EventKind::action, {input, 1, 1}));
    }
    const double each = static_cast<double>(roll.bytes_used()) / static_cast<double>(roll.size());
    CHECK(each <= 24);
    CHECK(each > 5);  // a figure that counts nothing proves nothing
}
