// The simulated device's world: hands of known and unknown length, axes, what the computer has down.

#include <doctest/doctest.h>

#include "core/sim/ir_encode.hpp"
#include "tests/desk/station_rig.hpp"

using namespace fettle;
using namespace fettle::app;
using namespace fettle::app::test;
using engine::EventKind;

namespace {

const profile::InputSource k_remote = profile::Infrared{profile::Protocol::nec, 1, 2, 0, 0};
const profile::InputSource k_other = profile::Infrared{profile::Protocol::nec, 1, 3, 0, 0};
const profile::InputSource k_click = profile::Switch{1, true};  // plain_image: it clicks

int frames(const Rig& rig, bool is_repeat) {
    int count = 0;
    for (const auto& one : rig.heard)
        count +=
            one.event.kind == EventKind::ir_frame && ((one.event.data[0] & 0x80) != 0) == is_repeat ? 1 : 0;
    return count;
}

}  // namespace

TEST_CASE(
    "station hands: a tap of 50 ms is one frame, a press of 400 ms has 3 repeats, and the counts say so") {
    Rig rig;
    rig.go_live();
    CHECK_FALSE(rig.answer(ask::Hand{k_remote, true, 50}).error.has_value());
    rig.run_ms(1000);
    CHECK(frames(rig, false) == 1);
    CHECK(frames(rig, true) == 0);
    CHECK_FALSE(rig.answer(ask::Hand{k_remote, true, 400}).error.has_value());
    rig.run_ms(1000);
    CHECK(frames(rig, false) == 2);
    CHECK(frames(rig, true) == 3);  // 400 ms in periods of 108 ms
    CHECK(rig.now.health.frames_decoded == 5);
    CHECK(rig.now.health.repeats_heard == 3);
    CHECK(rig.now.health.repeats_lost == 0);
    rig.check_ends_released();
}

TEST_CASE("station hands: a button held for 5 s until the hand lets go: a repeat each period, none after") {
    Rig rig;
    rig.go_live();
    rig.heard.clear();
    rig.answer(ask::Hand{k_remote, true, 0});
    rig.run_ms(5000);
    rig.answer(ask::Hand{k_remote, false, 0});
    rig.run_ms(500);
    const int held = frames(rig, true);
    CHECK(frames(rig, false) == 1);
    // Source: NEC, 110 ms between repeats (Linux 6.1); the lists of period_us are the device's own.
    const int expected = static_cast<int>(5000000 / sim::period_us(engine::Protocol::nec));
    CHECK(held >= expected - 1);
    CHECK(held <= expected + 1);
    rig.run_ms(3000);
    CHECK(frames(rig, true) == held);
    CHECK(rig.device->hands().is_quiet());
    rig.check_ends_released();
}

TEST_CASE(
    "station hands: a second button takes the first one's place; letting go of the first then changes "
    "nothing") {
    Rig rig;
    rig.go_live();
    rig.answer(ask::Hand{k_remote, true, 0});
    rig.run_ms(300);
    rig.answer(ask::Hand{k_other, true, 0});
    rig.run_ms(300);
    rig.answer(ask::Hand{k_remote, false, 0});
    rig.run_ms(300);
    CHECK(rig.device->hands().is_remote_held());
    rig.answer(ask::Hand{k_other, false, 0});
    rig.run_ms(300);
    CHECK_FALSE(rig.device->hands().is_remote_held());
    rig.check_ends_released();
}

TEST_CASE("station hands: a closed switch is a button down for the computer until it opens, over 100 s") {
    Rig rig;
    rig.go_live();
    rig.answer(ask::Hand{k_click, true, 0});
    rig.run_ms(2000);
    REQUIRE(rig.now.computer.has_value());
    CHECK(rig.now.computer->buttons == 1);
    rig.answer(ask::Hand{k_click, false, 0});
    rig.run_ms(100);
    CHECK(rig.now.computer->buttons == 0);
    // A contact that lifts its line: down is the high level.
    rig.heard.clear();
    rig.answer(ask::Hand{profile::Switch{6, false}, true, 30});
    rig.run_ms(100);
    std::vector<int> levels;
    for (const auto& one : rig.heard)
        if (one.event.kind == EventKind::edge && one.event.data[0] == 6) levels.push_back(one.event.data[1]);
    CHECK(levels == std::vector<int>{1, 0});
    rig.check_ends_released();
}

TEST_CASE("station hands: an axis pushed, held, let go; and set to 250 permille") {
    Rig rig;
    rig.go_live();
    const profile::Axis left{profile::AxisName::stick_x, profile::AxisSide::negative, 500, 350};
    const auto deflection = [&](int axis) {
        return rig.device->hands().axes(rig.device->now_us()).at(static_cast<std::size_t>(axis));
    };
    rig.answer(ask::Hand{left, true, 0});
    rig.run_ms(20);
    CHECK(deflection(0) == -1000);
    rig.answer(ask::Hand{left, false, 0});
    rig.run_ms(20);
    CHECK(deflection(0) == 0);
    rig.answer(ask::Hand{left, true, 100});
    rig.run_ms(50);
    CHECK(deflection(0) == -1000);
    rig.run_ms(100);
    CHECK(deflection(0) == 0);
    rig.answer(ask::Axis{1, 250});
    rig.run_ms(20);
    CHECK(deflection(1) == 250);
    CHECK(rig.answer(ask::Axis{4, 250}).error->code == Errc::out_of_range);
    rig.answer(ask::Axis{1, 0});
    rig.check_ends_released();
}

TEST_CASE(
    "station hands: what cannot be worked says so: not taught, a signature, a line 9, a device that is "
    "real") {
    Rig rig;
    rig.go_live();
    CHECK(rig.answer(ask::Hand{profile::Untaught{}, true, 0}).error->code == Errc::unsupported);
    profile::Infrared unknown;
    unknown.protocol = profile::Protocol::unknown;
    unknown.signature = 77;
    CHECK(rig.answer(ask::Hand{unknown, true, 0}).error->code == Errc::unsupported);
    CHECK(rig.answer(ask::Hand{profile::Switch{9, true}, true, 0}).error->code == Errc::out_of_range);
    CHECK(rig.answer(ask::Hand{profile::Switch{0, true}, true, 0}).error->code == Errc::out_of_range);
    rig.check_ends_released();
    Rig real;
    real.source.is_real = true;
    real.go_live();
    CHECK_FALSE(real.now.is_simulated);
    CHECK_FALSE(real.now.computer.has_value());
    const std::vector<Ask> asks = {ask::Hand{k_click, true, 0}, ask::Axis{0, 1}, ask::Cable{},
                                   ask::PowerCut{}};
    for (const Ask& what : asks) CHECK(real.answer(what).error->code == Errc::unsupported);
    real.check_ends_released();
}

TEST_CASE("station hands: hands work though nothing is connected, and the computer is seen") {
    Rig rig;
    rig.answer(ask::Hand{k_click, true, 0});
    rig.run_ms(200);
    CHECK(rig.now.computer->buttons == 1);
    rig.answer(ask::Hand{k_click, false, 0});
    rig.run_ms(200);
    CHECK_FALSE(rig.now.computer->holds_anything());
    CHECK(rig.device->host().taken().empty());  // nothing piles up
    rig.check_ends_released();
}
