// Buttons, clicks, drags, motion, detents and consumer usages. Times are milliseconds of device time.
// Click gaps: common practice, no source for 40; libinput drops chatter inside 25 ms (libinput, button
// debouncing).
#include <doctest/doctest.h>

#include "tests/engine/output_rig.hpp"

namespace fettle::engine {
namespace {

constexpr uint8_t k_ctrl = 0x01, k_shift = 0x02;

std::vector<uint32_t> times(const Host& host) {
    std::vector<uint32_t> all;
    for (const Seen& s : host.seen) all.push_back(s.at_ms);
    return all;
}

TEST_CASE("output: a double click has 4 edges, each at least 40 ms after the one before") {
    Rig rig;
    rig.run(100);
    rig.out.click(1, 2, 40);
    rig.settle();
    CHECK(rig.host.story() == "b0+ b0- b0+ b0-");
    const auto t = times(rig.host);
    CHECK(t[0] == 102);  // handed over at 101, read at 102
    for (size_t i = 1; i < t.size(); ++i) CHECK(t[i] - t[i - 1] >= 40);
    for (size_t i = 1; i < t.size(); ++i) CHECK(t[i] - t[i - 1] <= 42);
    // A host may read right after the handing over: even then 40 ms after the read before.
    const auto& reports = rig.handed[1];
    for (size_t i = 1; i < t.size(); ++i)
        CHECK(reports[reports.size() - t.size() + i].first - t[i - 1] >= 40);
    CHECK(rig.out.has_clicked());
}

TEST_CASE("output: 3 clicks in a row keep 40 ms between all of their 6 edges, at polls of 8 ms too") {
    Rig rig;
    rig.is_polled = [](Endpoint, uint32_t now) { return now % 8 == 0; };
    rig.run(100);
    for (int i = 0; i < 3; ++i) rig.out.click(static_cast<uint8_t>(1 << i), 1, 40);
    rig.settle();
    CHECK(rig.host.story() == "b0+ b0- b1+ b1- b2+ b2-");
    const auto t = times(rig.host);
    for (size_t i = 1; i < t.size(); ++i) CHECK(t[i] - t[i - 1] >= 40);
}

TEST_CASE("output: a click 5 ms after a click is pressed no sooner than 40 ms after its release") {
    Rig rig;
    rig.run(100);
    rig.out.click(1, 1, 40);
    rig.settle();
    rig.run(5);
    rig.out.click(1, 1, 40);
    rig.settle();
    const auto t = times(rig.host);
    REQUIRE(t.size() == 4);
    CHECK(t[2] - t[1] >= 40);
}

TEST_CASE("output: a held button called 5 ms after a click is pressed 40 ms after the click's release") {
    Rig rig;
    rig.run(100);
    rig.out.click(1, 1, 40);
    rig.settle();
    rig.out.hold_buttons(1, 1);
    rig.run(60);
    const auto t = times(rig.host);
    REQUIRE(t.size() == 3);
    CHECK(t[2] - t[1] >= 40);
    CHECK(t[2] - t[1] <= 42);
}

TEST_CASE("output: a held button is pressed and let go without any gap, as the hand does it") {
    Rig rig;
    rig.run(100);
    rig.out.hold_buttons(1, 1);
    rig.run(5);
    rig.out.let_go(1);
    rig.run(5);
    const auto t = times(rig.host);
    REQUIRE(t.size() == 2);
    CHECK(t[1] - t[0] == 5);
    CHECK(rig.out.has_clicked());
}

TEST_CASE("output: no motion between the 4 edges of a double click; all 500 counts come after it") {
    Rig rig;
    rig.run(100);
    int64_t x_at_first = -1, x_at_last = -1;
    rig.host.at_edge = [&](const Seen&) {
        if (x_at_first < 0) x_at_first = rig.host.x;
        x_at_last = rig.host.x;
    };
    rig.out.click(1, 2, 40);
    for (int i = 0; i < 100; ++i) {
        rig.out.move(5, -5);
        rig.tick();
    }
    rig.settle();
    CHECK(x_at_first == 0);
    CHECK(x_at_last == 0);
    CHECK(rig.host.x == 500);
    CHECK(rig.host.y == -500);
}

TEST_CASE("output: a jump of 300 before a click is seen before it, a jump of 70 after it after it") {
    for (uint32_t interval : {1u, 4u, 10u}) {
        CAPTURE(interval);
        Rig rig;
        rig.is_polled = [interval](Endpoint, uint32_t now) { return now % interval == 0; };
        rig.run(100);
        std::vector<int64_t> at;
        rig.host.at_edge = [&](const Seen&) { at.push_back(rig.host.x); };
        rig.out.move(300, 0);
        rig.out.click(1, 1, 40);
        rig.out.move(70, 0);
        rig.settle();
        rig.run(50);
        CHECK(at == std::vector<int64_t>{300, 300});
        CHECK(rig.host.x == 370);
    }
}

TEST_CASE(
    "output: a drag picks up at 10 and drops at 110 though both calls come in the ticks of the motion") {
    Rig rig;
    rig.is_polled = [](Endpoint, uint32_t now) { return now % 4 == 0; };
    rig.run(100);
    std::vector<int64_t> at;
    rig.host.at_edge = [&](const Seen&) { at.push_back(rig.host.x); };
    rig.out.move(10, 0);
    rig.out.drag(1);
    rig.out.move(60, 0);
    rig.run(40);
    CHECK(rig.out.held().dragged == 1);
    CHECK(rig.host.x == 70);
    rig.out.move(40, 0);
    rig.out.drag(1);
    rig.out.move(25, 0);
    rig.run(40);
    CHECK(at == std::vector<int64_t>{10, 110});
    CHECK(rig.host.x == 135);
    CHECK(rig.out.held().dragged == 0);
}

TEST_CASE(
    "output: a drag stays down over 2 taps and a click of another button, and refuses a click of its own") {
    Rig rig;
    rig.run(100);
    rig.out.drag(1);
    rig.run(10);
    rig.out.tap_keys(k_shift, 0x04);
    rig.out.click(2, 1, 40);
    rig.out.tap_keys(0, 0x05);
    CHECK_FALSE(rig.out.click(1, 1, 40));
    rig.settle();
    CHECK(rig.host.story() == "b0+ k04+/02 k04- b1+ b1- k05+ k05-");
    CHECK(rig.host.buttons == 1);
}

TEST_CASE("output: two drags of buttons 1 and 2; ending one leaves the other") {
    Rig rig;
    rig.run(100);
    rig.out.drag(1);
    rig.out.drag(2);
    rig.run(10);
    CHECK(rig.host.buttons == 3);
    rig.out.drag(1);
    rig.run(10);
    CHECK(rig.host.buttons == 2);
}

TEST_CASE("output: a latch goes to the keyboard before its click, the button 1 frame after it was taken") {
    for (bool pointer_first : {false, true}) {
        CAPTURE(pointer_first);
        Rig rig;
        rig.reads_pointer_first = pointer_first;
        rig.run(100);
        rig.out.latch(LatchStyle::latch_then_lock, k_ctrl);
        rig.run(50);
        CHECK(rig.host.modifiers == 0);  // not before the click that uses it
        rig.out.click(1, 1, 40);
        rig.settle();
        CHECK(rig.host.story() == "b0+/01 b0-/01");
        // Handed over: keyboard at 151, read and taken at 152, one frame, button at 153.
        CHECK(rig.handed[0].back().second.bytes[0] == 0);
        CHECK(rig.handed[0][rig.handed[0].size() - 2].first == 151);
        CHECK(rig.handed[1][2].first == 153);
        // The modifier goes after the release of the button was taken.
        const uint32_t up_ms = rig.host.only(Seen::button_up)[0].at_ms;
        CHECK(rig.handed[0].back().first >= up_ms);
    }
}

TEST_CASE(
    "output: a keyboard that is read 300 ms late delays a ctrl-click by 300 ms and changes nothing else") {
    Rig rig;
    rig.run(100);
    rig.is_polled = [](Endpoint e, uint32_t now) { return e == Endpoint::pointer || now >= 400; };
    rig.out.latch(LatchStyle::latch_only, k_ctrl);
    rig.out.click(1, 1, 40);
    rig.settle();
    CHECK(rig.host.story() == "b0+/01 b0-/01");
    CHECK(rig.host.seen[0].at_ms >= 401);
}

TEST_CASE("output: ctrl let go in the tick of the button that it was held for goes after it") {
    Rig rig;
    rig.run(100);
    rig.out.hold_keys(1, k_ctrl, 0);
    rig.out.hold_buttons(2, 1);
    rig.run(50);
    rig.out.let_go(2);
    rig.out.let_go(1);
    rig.run(20);
    CHECK(rig.host.story() == "b0+/01 b0-/01");
}

TEST_CASE("output: detents go with ctrl held for 1 tick only: 3 of them, then 2 without") {
    for (uint32_t interval : {1u, 8u}) {
        CAPTURE(interval);
        Rig rig;
        rig.is_polled = [interval](Endpoint, uint32_t now) { return now % interval == 0; };
        rig.run(100);
        rig.out.hold_keys(1, k_ctrl, 0);
        rig.out.scroll(3, 0);
        rig.out.let_go(1);
        rig.run(80);
        rig.out.scroll(-2, 1);
        rig.run(80);
        CHECK(rig.host.story() == "w3/01 w-2 p1");
    }
}

TEST_CASE("output: ctrl let go while 3 detents wait 30 ms for the host stays until they were read") {
    Rig rig;
    rig.run(100);
    rig.out.hold_keys(1, k_ctrl, 0);
    rig.run(10);
    rig.is_polled = [](Endpoint e, uint32_t now) { return e == Endpoint::keyboard || now >= 140; };
    rig.out.move(1, 0);
    rig.tick();
    rig.out.scroll(3, 0);
    rig.tick();
    rig.out.let_go(1);
    rig.out.hold_keys(2, k_shift, 0);
    rig.run(60);
    CHECK(rig.host.story() == "w3/01");
    CHECK(rig.host.modifiers == k_shift);
}

TEST_CASE("output: detents called under a lock that was undone before the host saw it still go with it") {
    Rig rig;
    rig.is_polled = [](Endpoint, uint32_t now) { return now % 8 == 0; };
    rig.run(100);
    rig.out.tap_keys(0, 0x04);
    rig.out.latch(LatchStyle::lock, k_ctrl);
    rig.out.scroll(2, 0);
    rig.out.latch(LatchStyle::lock, k_ctrl);
    rig.run(100);
    CHECK(rig.host.story() == "k04+ k04- w2/01");
}

TEST_CASE("output: 300 detents are split into reports of 127, 127 and 46") {
    Rig rig;
    rig.run(100);
    for (int i = 0; i < 3; ++i) rig.out.scroll(100, 0);
    rig.run(10);
    CHECK(rig.host.downs(Seen::wheel) == std::vector<int>{127, 127, 46});
}

TEST_CASE("output: motion of 3 * 30000 counts saturates at 32767 an axis") {
    Rig rig;
    rig.run(100);
    for (int i = 0; i < 3; ++i) rig.out.move(30000, -30000);
    rig.run(10);
    CHECK(rig.host.x == 32767);
    CHECK(rig.host.y == -32767);
}

TEST_CASE("output: boot protocol splits 300 counts into 127, 127, 46 and drops detents and consumer usages") {
    Rig rig;
    rig.boot_protocol = 3;
    rig.run(100);
    rig.out.move(300, -10);
    rig.out.scroll(5, 5);
    CHECK(rig.out.tap_consumer(0xE9));
    rig.out.hold_consumer(1, 0xEA);
    rig.out.click(1, 1, 40);
    rig.settle();
    std::vector<int> x;
    for (const auto& [at, report] : rig.handed[1]) {
        CHECK(report.size == k_boot_mouse_report_bytes);
        if (report.bytes[1] != 0) x.push_back(static_cast<int8_t>(report.bytes[1]));
    }
    CHECK(x == std::vector<int>{127, 127, 46});
    CHECK(rig.host.y == -10);
    CHECK(rig.host.story() == "b0+ b0-");
}

TEST_CASE("output: consumer reports and motion take turns: 20 ticks of motion delay a tap by 1 report each") {
    Rig rig;
    rig.run(100);
    rig.out.tap_consumer(0xE9);
    for (int i = 0; i < 20; ++i) {
        rig.out.move(1, 0);
        rig.tick();
    }
    CHECK(rig.host.story() == "ce9+ ce9-");
    CHECK(rig.host.seen.back().at_ms <= 110);
    rig.run(10);
    CHECK(rig.host.x == 20);
}

TEST_CASE("output: of two held consumer usages the newer ends the older") {
    Rig rig;
    rig.run(100);
    rig.out.hold_consumer(1, 0xE9);
    rig.run(20);
    rig.out.hold_consumer(2, 0xE2);
    rig.run(20);
    CHECK(rig.host.story() == "ce9+ ce9- ce2+");
    rig.out.let_go(1);
    rig.run(20);
    CHECK(rig.host.consumer == 0xE2);
}

TEST_CASE("output: a text console reads no pointer: keys stand still for 1 s behind a click, then go on") {
    Rig rig;
    rig.run(100);
    rig.is_polled = [](Endpoint e, uint32_t) { return e == Endpoint::keyboard; };
    rig.out.latch(LatchStyle::latch_only, k_ctrl);
    rig.out.click(1, 1, 40);
    rig.out.tap_keys(0, 0x04);
    rig.run(900);
    CHECK(rig.host.downs(Seen::key_down).empty());
    rig.run(200);
    CHECK(rig.host.downs(Seen::key_down) == std::vector<int>{4});
    CHECK(rig.host.only(Seen::key_down)[0].mods == 0);
    CHECK(rig.host.modifiers == 0);
}

}  // namespace
}  // namespace fettle::engine
