// Keys: taps, holds, their order, six-key rollover. Times are milliseconds of device time; the host reads
// every millisecond unless a test says otherwise. Source of the layout: Device Class Definition for HID 1.11,
// boot keyboard; ErrorRollOver: HID Usage Tables page 07, usage 01 (that modifiers stay valid in it: from
// memory).
#include <doctest/doctest.h>

#include "tests/engine/output_rig.hpp"

namespace fettle::engine {
namespace {

constexpr uint8_t k_shift = 0x02, k_ctrl = 0x01;

TEST_CASE("output: after reset the first report of each kind is all-released, in 1 tick, 2 on the pointer") {
    Rig rig;
    rig.run(4);
    REQUIRE(rig.handed[0].size() == 1);
    REQUIRE(rig.handed[1].size() == 2);
    CHECK(rig.handed[0][0].first == 1);
    CHECK(rig.handed[0][0].second.size == 8);
    CHECK(rig.handed[1][0].second.bytes[0] == k_pointer_report_id);
    CHECK(rig.handed[1][1].second.bytes[0] == k_consumer_report_id);
    CHECK(rig.host.seen.empty());
}

TEST_CASE("output: a tap is one press and one release, 1 ms apart when the host reads each millisecond") {
    Rig rig;
    rig.run(5);
    REQUIRE(rig.out.tap_keys(0, 0x04));
    CHECK(rig.out.is_busy());
    rig.settle();
    REQUIRE(rig.host.seen.size() == 2);
    CHECK(rig.host.story() == "k04+ k04-");
    CHECK(rig.host.seen[1].at_ms - rig.host.seen[0].at_ms == 1);
}

TEST_CASE("output: a tap reaches a host that polls every 10 ms, though the device is 10 times faster") {
    Rig rig;
    rig.is_polled = [](Endpoint, uint32_t now) { return now % 10 == 0; };
    rig.run(21);
    rig.out.tap_keys(0, 0x04);
    rig.out.tap_keys(0, 0x04);
    rig.settle();
    CHECK(rig.host.story() == "k04+ k04- k04+ k04-");
}

TEST_CASE("output: a hold of 0 ms is seen: let go in the tick of its press") {
    Rig rig;
    rig.run(5);
    rig.out.hold_keys(3, k_shift, 0x05);
    rig.out.let_go(3);
    rig.run(10);
    CHECK(rig.host.story() == "k05+/02 k05-");
}

TEST_CASE("output: 12 taps keep their order; the 13th is refused and leaves no trace") {
    Rig rig;
    rig.run(5);
    for (uint8_t i = 0; i < k_max_holds; ++i) REQUIRE(rig.out.tap_keys(0, static_cast<uint8_t>(4 + i % 2)));
    CHECK_FALSE(rig.out.tap_keys(0, 0x20));
    CHECK_FALSE(rig.out.hold_keys(1, 0, 0x21));
    CHECK_FALSE(rig.out.click(1, 1, 40));
    CHECK_FALSE(rig.out.drag(1));
    rig.settle();
    CHECK(rig.host.downs(Seen::key_down) == std::vector<int>{4, 5, 4, 5, 4, 5, 4, 5, 4, 5, 4, 5});
}

TEST_CASE("output: taps, a consumer tap and a click keep their order over both endpoints") {
    Rig rig;
    rig.run(5);
    rig.out.tap_keys(k_shift, 0x04);
    rig.out.click(1, 1, 40);
    rig.out.tap_consumer(0xE9);
    rig.out.tap_keys(0, 0x05);
    rig.settle();
    CHECK(rig.host.story() == "k04+/02 k04- b0+ b0- ce9+ ce9- k05+ k05-");
}

TEST_CASE("output: the same key again waits until its release was taken") {
    Rig rig;
    rig.is_polled = [](Endpoint, uint32_t now) { return now % 7 == 0; };
    rig.run(21);
    rig.out.hold_keys(1, 0, 0x04);
    rig.run(20);
    rig.out.let_go(1);
    rig.out.hold_keys(2, 0, 0x04);
    rig.run(30);
    CHECK(rig.host.story() == "k04+ k04- k04+");
}

TEST_CASE("output: two inputs that hold one key are one press; it ends with the second of them") {
    Rig rig;
    rig.run(5);
    rig.out.hold_keys(1, 0, 0x04);
    rig.run(10);
    rig.out.hold_keys(2, 0, 0x04);
    rig.run(10);
    rig.out.let_go(1);
    rig.run(10);
    CHECK(rig.host.story() == "k04+");
    rig.out.let_go(2);
    rig.run(10);
    CHECK(rig.host.story() == "k04+ k04-");
}

TEST_CASE("output: 8 inputs that hold one key fill 1 of the six places") {
    Rig rig;
    rig.run(5);
    for (uint8_t i = 0; i < 8; ++i) rig.out.hold_keys(i, 0, 0x04);
    rig.out.hold_keys(9, 0, 0x05);
    rig.run(30);
    const uint8_t* b = rig.host.keyboard_reports.back().bytes;
    CHECK(std::vector<int>(b + 2, b + 8) == std::vector<int>{4, 5, 0, 0, 0, 0});
    CHECK(rig.host.story() == "k04+ k05+");
}

TEST_CASE("output: a tap of a key that is held is refused; 1 tap after it was let go is seen") {
    Rig rig;
    rig.run(5);
    rig.out.hold_keys(1, 0, 0x04);
    rig.run(10);
    CHECK_FALSE(rig.out.tap_keys(0, 0x04));
    rig.out.let_go(1);
    CHECK(rig.out.tap_keys(0, 0x04));
    rig.settle();
    CHECK(rig.host.story() == "k04+ k04- k04+ k04-");
}

TEST_CASE("output: six held keys fit; the seventh makes six ErrorRollOver, modifiers stay valid") {
    Rig rig;
    rig.run(5);
    for (uint8_t i = 0; i < 6; ++i) rig.out.hold_keys(i, 0, static_cast<uint8_t>(4 + i));
    rig.out.hold_keys(8, k_ctrl, 0);
    rig.run(20);
    CHECK(rig.host.keys.size() == 6);
    CHECK(rig.host.rolled_over == 0);
    rig.out.hold_keys(6, 0, 0x0A);
    rig.run(20);
    CHECK(rig.host.rolled_over == 1);
    const Report& report = rig.host.keyboard_reports.back();
    CHECK(report.bytes[0] == k_ctrl);
    for (int i = 2; i < 8; ++i) CHECK(report.bytes[i] == k_error_roll_over);
    rig.out.let_go(0);
    rig.run(20);
    CHECK(rig.host.keys == std::vector<uint8_t>{5, 6, 7, 8, 9, 0x0A});
    CHECK(rig.host.modifiers == k_ctrl);
}

TEST_CASE("output: a tap beside six held keys waits for room and is then seen") {
    Rig rig;
    rig.run(5);
    for (uint8_t i = 0; i < 6; ++i) rig.out.hold_keys(i, 0, static_cast<uint8_t>(4 + i));
    rig.run(20);
    REQUIRE(rig.out.tap_keys(0, 0x20));
    rig.run(50);
    CHECK(rig.host.rolled_over == 0);
    CHECK(rig.host.downs(Seen::key_down).size() == 6);
    rig.out.let_go(2);
    rig.settle();
    CHECK(rig.host.downs(Seen::key_down).back() == 0x20);
}

TEST_CASE("output: two keys held in one tick are pressed in two reports, in the order of the calls") {
    Rig rig;
    rig.run(5);
    rig.out.hold_keys(1, 0, 0x1D);
    rig.out.hold_keys(2, 0, 0x04);
    rig.run(10);
    CHECK(rig.host.story() == "k1d+ k04+");
    CHECK(rig.host.seen[0].at_ms < rig.host.seen[1].at_ms);
}

TEST_CASE("output: a modifier let go before the tap that was called under it still goes with the tap") {
    Rig rig;
    rig.is_polled = [](Endpoint, uint32_t now) { return now % 10 == 0; };
    rig.run(21);
    rig.out.hold_keys(1, k_shift, 0);
    rig.run(30);
    rig.out.tap_keys(0, 0x04);
    rig.out.let_go(1);
    rig.out.tap_keys(0, 0x05);
    rig.settle();
    CHECK(rig.host.story() == "k04+/02 k04- k05+ k05-");
    // Shift went down once: no lone press of it in between.
    int rises = 0;
    uint8_t before = 0;
    for (const Report& r : rig.host.keyboard_reports) {
        rises += r.bytes[0] == k_shift && before == 0 ? 1 : 0;
        before = r.bytes[0];
    }
    CHECK(rises == 1);
}

TEST_CASE("output: one source's chord and button end with 1 call, others stay") {
    Rig rig;
    rig.run(5);
    rig.out.hold_keys(1, 0, 0x04);
    rig.out.hold_buttons(1, 1);
    rig.out.hold_keys(2, 0, 0x05);
    rig.run(10);
    rig.out.let_go(1);
    rig.run(10);
    CHECK(rig.host.keys == std::vector<uint8_t>{0x05});
    CHECK(rig.host.buttons == 0);
    rig.out.let_go(k_source_tap);  // nobody's: changes nothing
    rig.run(5);
    CHECK(rig.host.keys == std::vector<uint8_t>{0x05});
}

TEST_CASE("output: an idle second gives no report and no event") {
    Rig rig;
    rig.out.hold_keys(1, k_shift, 0x04);
    rig.run(20);
    const size_t events = rig.events.size();
    const size_t reports = rig.handed[0].size() + rig.handed[1].size();
    rig.run(1000);
    CHECK(rig.events.size() == events);
    CHECK(rig.handed[0].size() + rig.handed[1].size() == reports);
}

TEST_CASE("output: a held key gives 3 events, report, held and taken, and 3 more when it is let go") {
    Rig rig;
    rig.run(5);
    rig.events.clear();
    rig.out.hold_keys(1, k_shift, 0x04);
    rig.run(5);
    REQUIRE(rig.events.size() == 3);
    CHECK(rig.events[0].kind == EventKind::report);
    CHECK(rig.events[0].data[0] == 0);
    CHECK(rig.events[0].data[1] == 8);
    CHECK(rig.events[0].data[2] == k_shift);
    CHECK(rig.events[0].data[4] == 0x04);
    CHECK(rig.events[1].kind == EventKind::held);
    CHECK(rig.events[1].data[3] == k_shift);
    CHECK(rig.events[2].kind == EventKind::taken);
    CHECK(rig.events[2].at_us == rig.events[0].at_us + 1000);
    rig.out.let_go(1);
    rig.run(5);
    CHECK(rig.events.size() == 6);
}

}  // namespace
}  // namespace fettle::engine
