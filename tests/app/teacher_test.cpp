#include "app/teacher.hpp"

#include <doctest/doctest.h>

// Times in us. Frames closer than 250 ms belong to one press.

namespace fettle::app::test {
namespace {

using engine::EventKind;
using engine::Protocol;

engine::IrFrame nec(int command, bool is_repeat = false) {
    auto frame = engine::make_ir_frame(Protocol::nec, 0x61, static_cast<std::uint16_t>(command));
    frame.repeat = is_repeat;
    return frame;
}

void edge(Teacher& teacher, std::uint8_t line, bool level, std::int64_t at_us) {
    link::TimedEvent timed;
    timed.at_us = at_us;
    timed.event.kind = EventKind::edge;
    timed.event.data[0] = line;
    timed.event.data[1] = level ? 1 : 0;
    teacher.hear(timed);
}

}  // namespace

TEST_CASE("teacher: 2 presses of one button agree; 1 does not suffice") {
    Teacher teacher;
    teacher.hear(nec(0x18), 0);
    CHECK_FALSE(teacher.source());
    teacher.hear(nec(0x18), 1000000);
    REQUIRE(teacher.source());
    CHECK(*teacher.source() == profile::InputSource(profile::Infrared{Protocol::nec, 0x61, 0x18, 0, 0}));
    CHECK(teacher.presses() == 2);
}

TEST_CASE("teacher: 2 different buttons do not agree; the second one once more does") {
    Teacher teacher;
    teacher.hear(nec(0x18), 0);
    teacher.hear(nec(0x52), 1000000);
    CHECK_FALSE(teacher.source());
    teacher.hear(nec(0x52), 2000000);
    REQUIRE(teacher.source());
    CHECK(std::get<profile::Infrared>(*teacher.source()).command == 0x52);
}

TEST_CASE("teacher: a button held for 5 s is 1 press, with repeat frames and with full frames") {
    for (const bool has_repeats : {true, false}) {
        CAPTURE(has_repeats);
        Teacher teacher;
        teacher.hear(nec(0x18), 0);
        for (std::int64_t at = 108000; at < 5000000; at += 108000) teacher.hear(nec(0x18, has_repeats), at);
        CHECK(teacher.presses() == 1);
        CHECK_FALSE(teacher.source());
    }
}

TEST_CASE("teacher: repeats whose first frame was lost are no press") {
    Teacher teacher;
    for (std::int64_t at = 0; at < 2000000; at += 400000) teacher.hear(nec(0, true), at);
    CHECK(teacher.presses() == 0);
}

TEST_CASE("teacher: a switch pressed twice, bouncing 8 edges each time, is 2 presses and closed when low") {
    Teacher teacher;
    for (const std::int64_t start : {std::int64_t{0}, std::int64_t{1000000}}) {
        for (int i = 0; i < 9; ++i) edge(teacher, 3, i % 2 != 0, start + i * 1000);
        for (int i = 0; i < 9; ++i) edge(teacher, 3, i % 2 == 0, start + 400000 + i * 1000);
    }
    REQUIRE(teacher.source());
    CHECK(*teacher.source() == profile::InputSource(profile::Switch{3, true}));
    CHECK(teacher.presses() == 2);
}

TEST_CASE("teacher: a switch that goes high when it closes is taught as closed when high") {
    Teacher teacher;
    for (const std::int64_t start : {std::int64_t{0}, std::int64_t{2000000}}) {
        edge(teacher, 2, true, start);
        edge(teacher, 2, false, start + 600000);
    }
    REQUIRE(teacher.source());
    CHECK(*teacher.source() == profile::InputSource(profile::Switch{2, false}));
}

TEST_CASE("teacher: edges of the infrared line and of lines beyond 8 teach nothing") {
    Teacher teacher;
    for (const std::uint8_t line : {std::uint8_t{0}, std::uint8_t{9}, std::uint8_t{255}})
        for (std::int64_t at = 0; at < 4000000; at += 500000) edge(teacher, line, (at / 500000) % 2 == 0, at);
    CHECK(teacher.presses() == 0);
}
}  // namespace fettle::app::test
