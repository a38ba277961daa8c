#include <doctest/doctest.h>

#include <algorithm>
#include <bitset>
#include <string>

#include "core/trace/roll_export.hpp"
#include "tests/trace/events.hpp"
#include "tests/trace/vcd_reader.hpp"

using namespace fettle;
using namespace fettle::test;
using engine::EventKind;
using engine::PressOutcome;
using trace::Lane;
using trace::LaneKind;
using trace::Roll;

namespace {

std::string vcd_of(const Roll& roll, const trace::ExportNames& names = {},
                   const trace::ExportRange& range = {}) {
    std::string made;
    REQUIRE(trace::export_vcd(roll, names, range, [&](std::string_view piece) {
        made += piece;
        return true;
    }));
    return made;
}

Roll short_roll() {
    Roll roll;
    roll.append(1000, snapshot(2, 0));
    roll.append(1010, level(0, true));
    roll.append(1030, press(0, PressOutcome::accepted));
    roll.append(1040, pointer(5, -3));
    roll.append(1050, pointer(-7, 0));
    roll.append(1060, level(0, false));
    roll.append(1070, press(0, PressOutcome::ended));
    roll.append(1080, event(EventKind::mode, {1, 0}));
    return roll;
}

std::int64_t number(const std::string& bits) {
    return static_cast<std::int64_t>(std::bitset<64>(bits).to_ullong());
}

std::string letter(const trace::LaneState& state) {
    return !state.is_known ? "x" : state.is_on ? "1" : "0";
}

}  // namespace

TEST_CASE("VCD: a press of 50 us, two reports and a mode are 6 variables with their changes at their times") {
    const Vcd vcd = read_vcd(vcd_of(short_roll(), {{"chin switch"}, {}, "Monday $end"}));
    CHECK(vcd.error == "");
    CHECK(vcd.timescale == "1 us");
    CHECK(vcd.comment == "Monday _end");
    REQUIRE(vcd.variables.size() == 6);
    CHECK(vcd.variable("level_0_chin_switch")->type == "wire");
    CHECK(vcd.variable("mode")->type == "reg");
    CHECK(vcd.variable("pointer_x")->type == "integer");
    CHECK(vcd.value("level_0_chin_switch", 9) == "0");
    CHECK(vcd.value("level_0_chin_switch", 10) == "1");
    CHECK(vcd.value("level_0_chin_switch", 59) == "1");
    CHECK(vcd.value("level_0_chin_switch", 60) == "0");
    CHECK(vcd.value("press_0_chin_switch", 29) == "0");
    CHECK(vcd.value("press_0_chin_switch", 69) == "1");
    CHECK(vcd.value("press_0_chin_switch", 70) == "0");
    CHECK(vcd.value("mode", 0) == "00000010");
    CHECK(vcd.value("mode", 80) == "00000001");
    CHECK(number(vcd.value("pointer_x", 40)) == 5);
    CHECK(number(vcd.value("pointer_x", 50)) == -2);
    CHECK(number(vcd.value("pointer_y", 80)) == -3);
    CHECK(vcd.last == 80);
}

TEST_CASE("VCD: an empty roll and a range without events are well formed, with 4 variables") {
    CHECK(read_vcd(vcd_of(Roll())).error == "");
    CHECK(read_vcd(vcd_of(Roll())).variables.size() == 4);
    const Vcd vcd = read_vcd(vcd_of(short_roll(), {}, {5000, 6000}));
    CHECK(vcd.error == "");
    CHECK(vcd.value("mode", 0) == "00000001");
}

TEST_CASE("VCD: a part begins at time 0 with what was there before: 1 level down, 5 counts") {
    const Vcd vcd = read_vcd(vcd_of(short_roll(), {}, {1050, 1065}));
    CHECK(vcd.error == "");
    CHECK(vcd.value("level_0", 0) == "1");
    CHECK(vcd.value("level_0", 10) == "0");
    CHECK(number(vcd.value("pointer_x", 0)) == -2);
    CHECK(vcd.last == 10);
}

TEST_CASE("VCD: a sink that stops after 1 piece is not called a second time") {
    int pieces = 0;
    CHECK_FALSE(trace::export_vcd(short_roll(), {}, {}, [&](std::string_view) { return ++pieces < 1; }));
    CHECK(pieces == 1);
}

TEST_CASE("VCD: 3 random rolls with gaps: levels, presses, mode and sums are those of the lanes") {
    for (std::uint32_t seed = 31; seed < 34; ++seed) {
        CAPTURE(seed);
        Mix mix;
        mix.seed = seed;
        mix.count = 400;
        mix.most_slip_us = 0;
        mix.gaps_permille = 20;
        mix.begins_with_snapshot = seed != 33;
        const Roll roll = random_roll(mix);
        const Vcd vcd = read_vcd(vcd_of(roll));
        REQUIRE(vcd.error == "");
        std::size_t wrong = 0;
        std::int64_t latest_us = 0;
        // A gap begins 1 us after the event before it: at whole events both agree.
        for (std::size_t i = 0; i + 1 < roll.size(); ++i) {
            const std::int64_t us = roll.at(i).at_us, at = us - roll.first_us();
            const bool is_late = us < latest_us || roll.at(i).event.kind == EventKind::lost;
            // What follows `lost` at once lies 1 us later in the lanes: no earlier than the gap.
            latest_us = std::max(latest_us, us) + (roll.at(i).event.kind == EventKind::lost ? 1 : 0);
            if (is_late) continue;
            if (roll.at(i + 1).at_us <= us + 1 || roll.at(i + 1).event.kind == EventKind::lost) continue;
            for (std::uint8_t input = 0; input < 3; ++input) {
                const std::string name = std::to_string(input);
                wrong += std::size_t{vcd.value("level_" + name, at) !=
                                     letter(roll.lane_at({LaneKind::level, input}, us))};
                wrong += std::size_t{vcd.value("press_" + name, at) !=
                                     letter(roll.lane_at({LaneKind::press, input}, us))};
            }
            wrong += std::size_t{vcd.value("lost", at) != letter(roll.lane_at({LaneKind::lost, 0}, us))};
            const auto mode = roll.lane_at({LaneKind::mode, 0}, us);
            const std::string told = vcd.value("mode", at);
            wrong += std::size_t{mode.is_known != (told != "x")};
            if (mode.is_known && told != "x") wrong += std::size_t{number(told) != mode.number};
            trace::Reach x;
            roll.signal(trace::Signal::x, us, us + 1, 1, {&x, 1});
            wrong += std::size_t{number(vcd.value("pointer_x", at)) != x.last};
        }
        CHECK(wrong == 0);
    }
}
