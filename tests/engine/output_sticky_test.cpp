// Latches and locks. Source: X Keyboard Extension: Protocol Specification, StickyKeys: one press latches to
// the next key, a second press locks, a third unlocks, latches add up. latch_only's way back is this
// project's own.
#include <doctest/doctest.h>

#include "tests/engine/output_rig.hpp"

namespace fettle::engine {
namespace {

constexpr uint8_t k_ctrl = 0x01, k_shift = 0x02, k_alt = 0x04;

TEST_CASE("sticky: all 8 pairs of two modifiers' states and 3 styles follow the table") {
    struct Row {
        Sticky from;
        LatchStyle style;
        Sticky to;
    };
    const Row rows[] = {
        {{0, 0}, LatchStyle::latch_then_lock, {k_shift, 0}},
        {{k_shift, 0}, LatchStyle::latch_then_lock, {0, k_shift}},
        {{0, k_shift}, LatchStyle::latch_then_lock, {0, 0}},
        {{0, 0}, LatchStyle::latch_only, {k_shift, 0}},
        {{k_shift, 0}, LatchStyle::latch_only, {0, 0}},
        {{0, k_shift}, LatchStyle::latch_only, {0, 0}},
        {{0, 0}, LatchStyle::lock, {0, k_shift}},
        {{k_shift, 0}, LatchStyle::lock, {0, k_shift}},
        {{0, k_shift}, LatchStyle::lock, {0, 0}},
        {{k_ctrl, 0}, LatchStyle::latch_then_lock, {k_ctrl | k_shift, 0}},
        {{k_ctrl, k_alt}, LatchStyle::lock, {k_ctrl, k_alt | k_shift}},
    };
    for (const Row& row : rows) {
        CAPTURE(static_cast<int>(row.style));
        const Sticky to = press_sticky(row.from, row.style, k_shift);
        CHECK(to.latched == row.to.latched);
        CHECK(to.locked == row.to.locked);
    }
}

TEST_CASE("sticky: ctrl locked, ctrl + shift pressed twice: latched shift, then both locked, then none") {
    Sticky s = {0, k_ctrl};
    s = press_sticky(s, LatchStyle::latch_then_lock, k_ctrl | k_shift);
    CHECK(s.latched == k_shift);
    s = press_sticky(s, LatchStyle::latch_then_lock, k_ctrl | k_shift);
    CHECK(s.locked == (k_ctrl | k_shift));
    CHECK(s.latched == 0);
    s = press_sticky(s, LatchStyle::latch_then_lock, k_ctrl | k_shift);
    CHECK(s.locked == 0);
}

TEST_CASE("output: a latch is in no report for 500 ms, is sent with the next key, and is used up by it") {
    Rig rig;
    rig.run(10);
    const size_t before = rig.handed[0].size();
    rig.out.latch(LatchStyle::latch_then_lock, k_shift);
    rig.run(500);
    CHECK(rig.handed[0].size() == before);
    CHECK(rig.out.held().latched == k_shift);
    rig.out.tap_keys(0, 0x04);
    rig.out.tap_keys(0, 0x04);
    rig.settle();
    CHECK(rig.host.story() == "k04+/02 k04- k04+ k04-");
    // In the very report of the key.
    CHECK(rig.handed[0][before].second.bytes[0] == k_shift);
    CHECK(rig.handed[0][before].second.bytes[2] == 0x04);
    CHECK(rig.out.held().latched == 0);
}

TEST_CASE("output: 3 latches add up and go with 1 key") {
    Rig rig;
    rig.run(10);
    for (uint8_t m : {k_ctrl, k_shift, k_alt}) rig.out.latch(LatchStyle::latch_then_lock, m);
    rig.out.tap_keys(0, 0x4C);
    rig.settle();
    CHECK(rig.host.story() == "k4c+/07 k4c-");
}

TEST_CASE("output: a modifier pressed alone leaves the latch for the next key") {
    Rig rig;
    rig.run(10);
    rig.out.latch(LatchStyle::latch_only, k_shift);
    rig.out.hold_keys(1, k_ctrl, 0);
    rig.run(10);
    CHECK(rig.host.modifiers == k_ctrl);
    CHECK(rig.out.held().latched == k_shift);
    rig.out.tap_keys(0, 0x04);
    rig.settle();
    CHECK(rig.host.story() == "k04+/03 k04-/01");
}

TEST_CASE("output: a latch used by a held key or drag is held with it and shown as held") {
    Rig rig;
    rig.run(10);
    rig.out.latch(LatchStyle::latch_only, k_ctrl);
    rig.out.drag(1);
    rig.run(100);
    CHECK(rig.host.modifiers == k_ctrl);
    CHECK(rig.out.held().press_modifiers == k_ctrl);
    rig.out.drag(1);
    rig.run(100);
    CHECK(rig.host.story() == "b0+/01 b0-/01");
    CHECK(rig.host.modifiers == 0);
}

TEST_CASE("output: a lock is in the report within 2 ms, goes with 3 keys, and ends with the third press") {
    Rig rig;
    rig.run(10);
    rig.out.latch(LatchStyle::latch_then_lock, k_shift);
    rig.out.latch(LatchStyle::latch_then_lock, k_shift);
    rig.run(2);
    CHECK(rig.host.modifiers == k_shift);
    for (int i = 0; i < 3; ++i) rig.out.tap_keys(0, static_cast<uint8_t>(4 + i));
    rig.settle();
    CHECK(rig.host.story() == "k04+/02 k04-/02 k05+/02 k05-/02 k06+/02 k06-/02");
    rig.out.latch(LatchStyle::latch_then_lock, k_shift);
    rig.run(2);
    CHECK(rig.host.modifiers == 0);
}

TEST_CASE("output: a lock called after 2 taps on a slow host changes neither of them") {
    Rig rig;
    rig.is_polled = [](Endpoint, uint32_t now) { return now % 10 == 0; };
    rig.run(30);
    rig.out.tap_keys(0, 0x04);
    rig.out.tap_keys(0, 0x05);
    rig.out.latch(LatchStyle::lock, k_shift);
    rig.out.tap_keys(0, 0x06);
    rig.settle();
    CHECK(rig.host.downs(Seen::key_down) == std::vector<int>{4, 5, 6});
    const auto downs = rig.host.only(Seen::key_down);
    CHECK(downs[0].mods == 0);
    CHECK(downs[1].mods == 0);
    CHECK(downs[2].mods == k_shift);
}

TEST_CASE("output: `held` is told once for each of 4 changes, with all 5 bytes") {
    Rig rig;
    rig.run(10);
    rig.events.clear();
    rig.out.latch(LatchStyle::latch_only, k_ctrl);
    rig.run(5);
    rig.out.latch(LatchStyle::lock, k_shift);
    rig.run(5);
    rig.out.drag(2);  // uses the latch
    rig.run(20);
    rig.out.hold_buttons(4, 1);
    rig.run(20);
    const auto told = rig.events_of(EventKind::held);
    REQUIRE(told.size() == 4);
    const auto bytes = [](const Event& e) { return std::vector<int>(e.data, e.data + 5); };
    CHECK(bytes(told[0]) == std::vector<int>{k_ctrl, 0, 0, 0, 0});
    CHECK(bytes(told[1]) == std::vector<int>{k_ctrl, k_shift, 0, 0, 0});
    CHECK(bytes(told[2]) == std::vector<int>{0, k_shift, 2, k_ctrl, 0});
    CHECK(bytes(told[3]) == std::vector<int>{0, k_shift, 2, k_ctrl, 1});
}

}  // namespace
}  // namespace fettle::engine
