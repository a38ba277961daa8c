#include "core/trace/recording.hpp"

#include <doctest/doctest.h>

#include <initializer_list>

#include "core/engine/report.hpp"

using namespace fettle;
using engine::Event;
using engine::EventKind;
using engine::PressOutcome;
using trace::Recording;

namespace {

Event event(EventKind kind, std::initializer_list<int> data) {
    Event e{};
    e.kind = kind;
    std::size_t i = 0;
    for (const int byte : data) e.data[i++] = static_cast<std::uint8_t>(byte);
    return e;
}

Event press(int input, PressOutcome outcome) {
    return event(EventKind::press, {input, static_cast<int>(outcome)});
}

Event pointer(std::int16_t x, std::int16_t y, std::int8_t wheel = 0) {
    Event e = event(EventKind::report, {1, 8, engine::k_pointer_report_id, 0});
    engine::put16(e.data + 4, static_cast<std::uint16_t>(x));
    engine::put16(e.data + 6, static_cast<std::uint16_t>(y));
    e.data[8] = static_cast<std::uint8_t>(wheel);
    return e;
}

}  // namespace

TEST_CASE("presses: two inputs that overlap end each at their own time") {
    Recording r;
    r.moments = {{1000, press(0, PressOutcome::accepted)},
                 {5000, press(3, PressOutcome::accepted)},
                 {9000, press(0, PressOutcome::ended)},
                 {12000, press(3, PressOutcome::ended)}};
    const auto all = trace::presses(r);
    REQUIRE(all.size() == 2);
    CHECK(all[0].input == 0);
    CHECK(all[0].ended_us - all[0].accepted_us == 8000);
    CHECK(all[1].input == 3);
    CHECK(all[1].ended_us - all[1].accepted_us == 7000);
}

TEST_CASE("presses: rejected ones are none, a hold limit ends one, an open one says so") {
    Recording r;
    r.moments = {{0, press(1, PressOutcome::too_short)},   {10, press(1, PressOutcome::accepted)},
                 {20, press(1, PressOutcome::hold_limit)}, {30, press(1, PressOutcome::really_up)},
                 {40, press(2, PressOutcome::accepted)},   {50, press(7, PressOutcome::ended)}};
    const auto all = trace::presses(r);
    REQUIRE(all.size() == 2);
    CHECK(all[0].hit_hold_limit);
    CHECK(all[0].ended_us == 20);
    CHECK(all[1].ended_us == -1);
    CHECK(trace::outcomes(r)[static_cast<std::size_t>(PressOutcome::too_short)] == 1);
    CHECK(trace::outcomes(r)[static_cast<std::size_t>(PressOutcome::accepted)] == 2);
}

TEST_CASE("presses: an outcome that this version does not know is passed over") {
    Recording r;
    r.moments = {{0, event(EventKind::press, {1, 200})}};
    CHECK(trace::presses(r).empty());
}

TEST_CASE("report sums: 300 right, 5 left, 2 detents down, one consumer and one keyboard report") {
    Recording r;
    r.moments = {{0, pointer(300, -2)},
                 {1, pointer(-5, 0, -2)},
                 {2, event(EventKind::report, {1, 3, engine::k_consumer_report_id, 0xE9, 0})},
                 {3, event(EventKind::report, {0, 8, 2, 0, 4})}};
    const auto sums = trace::report_sums(r);
    CHECK(sums.x == 295);
    CHECK(sums.y == -2);
    CHECK(sums.wheel == -2);
    CHECK(sums.pointer_reports == 2);
    CHECK(sums.consumer_reports == 1);
    CHECK(sums.keyboard_reports == 1);
}

TEST_CASE("report sums: boot mouse reports of 3 bytes move by -1 and 127, and button 1 is no report id") {
    // Source: HID 1.11, appendix B.2: buttons, x, y.
    Recording r;
    r.moments = {{0, event(EventKind::report, {1, 3, 1, 0xFF, 0x7F, 9, 9, 9})},
                 {1, event(EventKind::report, {1, 3, 0, 1, 0})}};
    const auto sums = trace::report_sums(r);
    CHECK(sums.x == 0);
    CHECK(sums.y == 127);
    CHECK(sums.wheel == 0);
    CHECK(sums.pointer_reports == 2);
    CHECK(sums.consumer_reports == 0);
}

TEST_CASE(
    "report sums: a keyboard report moves nothing, whatever its bytes are; a report of no size neither") {
    Recording r;
    r.moments = {{0, event(EventKind::report, {0, 8, 1, 0, 44, 1, 2, 3, 4, 5})},
                 {1, event(EventKind::report, {1, 0, 1, 0, 44, 1})}};
    const auto sums = trace::report_sums(r);
    CHECK(sums.x == 0);
    CHECK(sums.y == 0);
    CHECK(sums.keyboard_reports == 1);
    CHECK(sums.pointer_reports == 0);
}

TEST_CASE("empty recording: no presses, no sums, still at once, nothing lost") {
    const Recording r;
    CHECK(trace::presses(r).empty());
    CHECK(trace::report_sums(r).pointer_reports == 0);
    CHECK(trace::still_after_us(r, 5000) == 0);
    CHECK(trace::repeats_lost(r) == 0);
    CHECK(trace::outcomes(r).size() == 9);
}

TEST_CASE("presses: an input pressed again before it ended ends its newest press first") {
    Recording r;  // an end that telemetry lost
    r.moments = {{1000, press(0, PressOutcome::accepted)},
                 {5000, press(0, PressOutcome::accepted)},
                 {9000, press(0, PressOutcome::ended)}};
    const auto all = trace::presses(r);
    REQUIRE(all.size() == 2);
    CHECK(all[0].ended_us == -1);
    CHECK(all[1].ended_us == 9000);
}

TEST_CASE("presses: a bridged gap of one press ends nothing") {
    Recording r;
    r.moments = {{0, press(0, PressOutcome::accepted)},
                 {50000, press(0, PressOutcome::bridged)},
                 {90000, press(0, PressOutcome::ended)}};
    const auto all = trace::presses(r);
    REQUIRE(all.size() == 1);
    CHECK(all[0].ended_us == 90000);
    CHECK(trace::outcomes(r)[static_cast<std::size_t>(PressOutcome::bridged)] == 1);
}

TEST_CASE("still after: rest of exactly 300 ms still belongs to the press, 300 ms and 1 us does not") {
    Recording r;
    r.moments = {{100000, pointer(1, 0)}, {400000, pointer(0, 1)}};
    CHECK(trace::still_after_us(r, 0) == 400000);
    r.moments[1].at_us = 400001;
    CHECK(trace::still_after_us(r, 0) == 100000);
}

TEST_CASE("still after: scrolling and panning count as moving, a button alone does not") {
    Recording r;
    r.moments = {{50000, pointer(0, 0, 1)},
                 {60000, event(EventKind::report, {1, 8, 1, 1, 0, 0, 0, 0, 0, 0})}};
    CHECK(trace::still_after_us(r, 10000) == 40000);
}

TEST_CASE("still after: the last move 80 ms after the finger counts, one 400 ms later is another press's") {
    Recording r;
    r.moments = {{0, pointer(1, 0)},
                 {120000, pointer(1, 0)},
                 {180000, pointer(1, 0)},
                 {181000, pointer(0, 0)},
                 {600000, pointer(1, 0)}};
    CHECK(trace::still_after_us(r, 100000) == 80000);
    CHECK(trace::still_after_us(r, 200000) == 0);
}

TEST_CASE("repeats lost: counts of all inputs add up") {
    Recording r;
    r.moments = {{0, event(EventKind::ir_lost, {0, 1})}, {1, event(EventKind::ir_lost, {4, 3})}};
    CHECK(trace::repeats_lost(r) == 4);
}
