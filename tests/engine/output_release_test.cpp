// Letting go: release everything, a lost cable, a sleeping host, a host that does not read; the case table of
// a hold.
#include <doctest/doctest.h>
#include <rapidcheck.h>

#include "tests/engine/output_rig.hpp"

namespace fettle::engine {
namespace {

constexpr uint8_t k_ctrl = 0x01, k_shift = 0x02;

/// Something of everything: key, lock, latch, drag, consumer usage, and a queue behind them.
void hold_much(Rig& rig) {
    rig.out.latch(LatchStyle::lock, k_shift);
    rig.out.hold_keys(1, k_ctrl, 0x04);
    rig.out.drag(1);
    rig.out.hold_consumer(2, 0xE9);
    rig.run(50);
    rig.out.latch(LatchStyle::latch_only, 0x10);
    rig.out.click(2, 2, 40);
    rig.out.tap_keys(0, 0x05);
    rig.out.move(100, 100);
    rig.out.scroll(3, 3);
}

TEST_CASE("hold: all 21 pairs of 7 states and 3 steps follow the case table") {
    using S = HoldState;
    const S states[] = {S::waiting, S::armed, S::pressing, S::down, S::releasing, S::between, S::gone};
    const HoldStep steps[] = {HoldStep::turn, HoldStep::built, HoldStep::taken};
    // The table of holds.hpp. No step leads back to waiting, so it stands for "impossible" here.
    const S none = S::waiting;
    const S to[7][3] = {{S::armed, none, none},     {none, S::pressing, none}, {none, none, S::down},
                        {none, S::releasing, none}, {none, none, S::gone},     {none, S::pressing, none},
                        {none, none, none}};
    for (int s = 0; s < 7; ++s) {
        for (int e = 0; e < 3; ++e) {
            CAPTURE(s);
            CAPTURE(e);
            Hold hold{};
            hold.state = states[s];
            hold.clicks = 1;
            const bool is_possible = to[s][e] != none;
            CHECK(step(hold, steps[e]) == is_possible);
            CHECK(HoldState(hold.state) == (is_possible ? to[s][e] : states[s]));
        }
    }
    Hold twice{};
    twice.state = S::releasing;
    twice.clicks = 2;
    CHECK(step(twice, HoldStep::taken));
    CHECK(HoldState(twice.state) == S::between);
    CHECK(int(twice.clicks) == 1);
}

TEST_CASE("output: release_all empties everything in 1 report of each kind, at polls of 1, 4 and 10 ms") {
    for (uint32_t interval : {1u, 4u, 10u}) {
        CAPTURE(interval);
        Rig rig;
        rig.is_polled = [interval](Endpoint, uint32_t now) { return now % interval == 0; };
        rig.run(50);
        hold_much(rig);
        rig.run(30);
        REQUIRE_FALSE(rig.host.is_all_up());
        const size_t keyboard = rig.handed[0].size(), pointer = rig.handed[1].size();
        rig.out.release_all(rig.now_ms() * 1000, Cause::host, rig.sink());
        CHECK(rig.out.held().locked == 0);
        CHECK(rig.out.held().latched == 0);
        rig.run(60);
        CHECK(rig.host.is_all_up());
        CHECK_FALSE(rig.out.holds_anything());
        REQUIRE(rig.handed[0].size() == keyboard + 1);
        REQUIRE(rig.handed[1].size() == pointer + 2);
        for (int i = 0; i < 8; ++i) CHECK(rig.handed[0].back().second.bytes[i] == 0);
        for (int i = 1; i < 8; ++i) CHECK(rig.handed[1][pointer].second.bytes[i] == 0);
        CHECK(rig.handed[1][pointer + 1].second.bytes[0] == k_consumer_report_id);
        const auto broken = rig.events_of(EventKind::drag_broken);
        REQUIRE(broken.size() == 1);
        CHECK(broken[0].data[0] == 1);
        CHECK(broken[0].data[1] == static_cast<uint8_t>(Cause::host));
        CHECK(rig.events_of(EventKind::released).size() == 1);
        CHECK_FALSE(rig.out.has_clicked());
    }
}

TEST_CASE("output: the release_all command does the same in its tick; without a drag no drag is broken") {
    Rig rig;
    rig.run(20);
    rig.out.hold_keys(1, k_ctrl, 0x04);
    rig.run(20);
    rig.tick(k_command_release_all);
    CHECK(rig.handed[0].back().first == rig.now_ms());
    CHECK(rig.handed[0].back().second.bytes[2] == 0);
    CHECK(rig.events_of(EventKind::drag_broken).empty());
    REQUIRE(rig.events_of(EventKind::released).size() == 1);
    CHECK(rig.events_of(EventKind::released)[0].data[0] == static_cast<uint8_t>(Cause::host));
}

TEST_CASE(
    "output: a key called right after release_all is pressed after the all-released report, never in it") {
    Rig rig;
    rig.is_polled = [](Endpoint, uint32_t now) { return now % 5 == 0; };
    rig.run(20);
    rig.out.hold_keys(1, 0, 0x04);
    rig.run(20);
    rig.out.release_all(rig.now_ms() * 1000, Cause::press, rig.sink());
    rig.out.tap_keys(0, 0x04);
    rig.settle();
    CHECK(rig.host.story() == "k04+ k04- k04+ k04-");
}

TEST_CASE("output: a lost cable forgets what was in flight; the first 3 reports after it are all-released") {
    Rig rig;
    rig.run(50);
    hold_much(rig);
    rig.run(30);
    const size_t keyboard = rig.handed[0].size(), pointer = rig.handed[1].size();
    rig.tick(k_command_cable_lost);
    rig.run(20);
    REQUIRE(rig.handed[0].size() == keyboard + 1);
    REQUIRE(rig.handed[1].size() == pointer + 2);
    for (int i = 0; i < 8; ++i) CHECK(rig.handed[0].back().second.bytes[i] == 0);
    CHECK(rig.events_of(EventKind::released).back().data[0] == static_cast<uint8_t>(Cause::cable));
    CHECK(rig.out.held().dragged == 0);
    rig.out.tap_keys(0, 0x06);
    rig.settle();
    CHECK(rig.host.downs(Seen::key_down).back() == 6);
}

TEST_CASE(
    "output: a host asleep for 1 s gets nothing of that second, and all-released reports when it wakes") {
    Rig rig;
    rig.run(50);
    hold_much(rig);
    rig.run(30);
    const int64_t x = rig.host.x;
    const size_t keyboard = rig.handed[0].size(), pointer = rig.handed[1].size();
    rig.steady_commands = k_command_suspended;
    for (int i = 0; i < 1000; ++i) {
        if (i % 100 == 0) rig.out.tap_keys(0, 0x07);
        rig.out.move(1, 1);
        rig.tick();
    }
    CHECK(rig.handed[0].size() == keyboard);
    CHECK(rig.handed[1].size() == pointer);
    CHECK(rig.events_of(EventKind::released).size() == 1);
    rig.steady_commands = 0;
    rig.run(20);
    CHECK(rig.host.is_all_up());
    CHECK(rig.host.x <= x + 100);
    for (int key : rig.host.downs(Seen::key_down)) CHECK(key != 7);
    rig.out.move(5, 0);
    rig.run(10);
    rig.out.tap_keys(0, 0x08);
    rig.settle();
    CHECK(rig.host.downs(Seen::key_down).back() == 8);
}

TEST_CASE(
    "output: motion unread for 100 ms is dropped and told once; what comes after the host is back moves") {
    Rig rig;
    rig.run(50);
    rig.is_polled = [](Endpoint, uint32_t) { return false; };
    rig.events.clear();
    for (int i = 0; i < 500; ++i) {
        rig.out.move(2, 0);
        rig.out.scroll(1, 0);
        rig.tick();
    }
    const auto unread = rig.events_of(EventKind::unread);
    REQUIRE(unread.size() == 1);
    CHECK(unread[0].data[0] == static_cast<uint8_t>(Endpoint::pointer));
    CHECK(unread[0].at_us == (51 + 100) * 1000u);  // handed over at 51
    rig.is_polled = [](Endpoint, uint32_t) { return true; };
    rig.run(10);
    CHECK(rig.host.x == 2);  // the one report that was in flight
    rig.out.move(7, 0);
    rig.run(5);
    CHECK(rig.host.x == 9);
}

TEST_CASE("output: 99 ms unread loses no count") {
    Rig rig;
    rig.run(50);
    rig.is_polled = [](Endpoint, uint32_t now) { return now >= 150; };
    for (int i = 0; i < 99; ++i) {
        rig.out.move(2, -1);
        rig.tick();
    }
    rig.run(20);
    CHECK(rig.host.x == 198);
    CHECK(rig.host.y == -99);
}

TEST_CASE(
    "output: motion handed over at 51 and read at 151 loses nothing; read at 152 all that waited is "
    "dropped") {
    for (uint32_t read_at : {151u, 152u}) {
        CAPTURE(read_at);
        Rig rig;
        rig.run(50);
        rig.is_polled = [read_at](Endpoint, uint32_t now) { return now >= read_at; };
        for (int i = 0; i < 102; ++i) {
            rig.out.move(i < 90 ? 2 : 0, 0);
            rig.tick();
        }
        rig.run(20);
        CHECK(rig.host.x == (read_at == 151 ? 180 : 2));
    }
}

TEST_CASE("output: presses made while the host was away for 5 s are seen when it is back, in order") {
    Rig rig;
    rig.run(50);
    rig.is_polled = [](Endpoint, uint32_t now) { return now > 5000; };
    rig.out.tap_keys(0, 0x04);
    rig.run(500);
    rig.out.hold_keys(1, 0, 0x05);
    rig.run(500);
    rig.out.let_go(1);
    rig.run(4000);
    rig.settle();
    rig.run(10);
    CHECK(rig.host.story() == "k04+ k04- k05+ k05-");
}

TEST_CASE(
    "output: any calls, any reading, a host away for 0 to 3 s and back, then release_all: nothing is held") {
    const bool is_good = rc::check("release_all leads to all-released", [] {
        const auto calls = *rc::gen::container<std::vector<uint32_t>>(rc::gen::arbitrary<uint32_t>());
        const auto polls = *rc::gen::container<std::vector<bool>>(rc::gen::arbitrary<bool>());
        const auto away = *rc::gen::inRange(0u, 3000u);
        Rig rig;
        rig.is_polled = [&polls](Endpoint e, uint32_t now) {
            return polls.empty() || polls[(now * (e == Endpoint::pointer ? 3 : 1)) % polls.size()];
        };
        for (const uint32_t call : calls) {
            const auto a = static_cast<uint8_t>(call >> 8), b = static_cast<uint8_t>(call >> 16);
            switch (call % 13) {
                case 0: rig.out.tap_keys(a, b); break;
                case 1: rig.out.hold_keys(b % 8, a, b); break;
                case 2: rig.out.hold_buttons(b % 8, a & 7); break;
                case 3: rig.out.hold_consumer(b % 8, a); break;
                case 4: rig.out.let_go(b % 8); break;
                case 5: rig.out.tap_consumer(a); break;
                case 6: rig.out.click(a & 7, static_cast<uint8_t>(1 + b % 2), 40); break;
                case 7: rig.out.latch(static_cast<LatchStyle>(b % 3), a); break;
                case 8: rig.out.drag(a & 7); break;
                case 9: rig.out.move(a, b); break;
                case 10: rig.out.scroll(static_cast<int8_t>(a), static_cast<int8_t>(b)); break;
                case 11: rig.boot_protocol = a & 3; break;
                case 12: rig.tick(b % 8 == 0 ? k_command_cable_lost : 0); break;
            }
            rig.run(b % 5);
        }
        rig.is_polled = [](Endpoint, uint32_t) { return false; };
        rig.run(away);
        rig.out.release_all(rig.now_ms() * 1000, Cause::press, rig.sink());
        rig.is_polled = [](Endpoint, uint32_t) { return true; };
        rig.boot_protocol = 0;  // a boot host cannot be told of a consumer usage
        rig.run(8);             // what was in flight, then one report of each kind
        RC_ASSERT(rig.host.is_all_up());
        RC_ASSERT(!rig.out.holds_anything());
        rig.finish();
    });
    CHECK(is_good);
}

TEST_CASE("output: any calls, then everybody lets go: nothing is held 12 s later, without release_all") {
    const bool is_good = rc::check("let_go leads to all-released", [] {
        const auto calls = *rc::gen::container<std::vector<uint32_t>>(rc::gen::arbitrary<uint32_t>());
        Rig rig;
        rig.is_polled = [&calls](Endpoint e, uint32_t now) {
            return calls.empty() || (calls[now % calls.size()] >> static_cast<int>(e)) % 2 == 0;
        };
        for (const uint32_t call : calls) {
            const auto a = static_cast<uint8_t>(call >> 8), b = static_cast<uint8_t>(call >> 16);
            switch (call % 7) {
                case 0: rig.out.hold_keys(b % 16, a, b); break;
                case 1: rig.out.hold_buttons(b % 16, a); break;
                case 2: rig.out.hold_consumer(b % 16, a); break;
                case 3: rig.out.let_go(b % 16); break;
                case 4: rig.out.click(a, 2, 40); break;
                case 5: rig.out.latch(static_cast<LatchStyle>(b % 3), a); break;
                case 6: rig.out.drag(a); break;
            }
            rig.run(b % 3);
        }
        rig.finish();
        RC_ASSERT(!rig.out.holds_anything());
    });
    CHECK(is_good);
}

}  // namespace
}  // namespace fettle::engine
