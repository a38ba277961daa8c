#include <doctest/doctest.h>
#include <rapidcheck.h>

#include "core/sim/hands.hpp"
#include "core/sim/ir_encode.hpp"
#include "core/sim/pulse_text.hpp"

using namespace fettle;
using engine::IrFrame;
using engine::Protocol;
using sim::Hands;

namespace {

constexpr Protocol k_protocols[] = {Protocol::nec,    Protocol::necx,     Protocol::rc5,    Protocol::rc6,
                                    Protocol::sirc12, Protocol::sirc15,   Protocol::sirc20, Protocol::jvc,
                                    Protocol::sharp,  Protocol::samsung32};

IrFrame button_of(Protocol protocol) {
    IrFrame frame = engine::make_ir_frame(protocol, 0x12, 0x35);
    if (protocol == Protocol::necx) frame.address = 0x1234;
    if (protocol == Protocol::sirc20) frame.extended = 0x5C;
    return frame;
}

/// Everything that is on the air until `until_us`, as marks and spaces.
std::vector<sim::PulseWidth> air(Hands& hands, std::uint64_t until_us) {
    std::vector<sim::PulseWidth> widths;
    std::uint32_t last_us = 0;
    for (const auto& edge : hands.take(until_us)) {
        widths.push_back({edge.level == 0, edge.at_us - last_us});
        last_us = edge.at_us;
    }
    return widths;
}

std::vector<IrFrame> heard(Hands& hands, std::uint64_t until_us) {
    return sim::decode_widths(air(hands, until_us));
}

}  // namespace

TEST_CASE("remote: a button of each of 10 protocols, held 400 ms, is heard as what it is") {
    for (const Protocol protocol : k_protocols) {
        CAPTURE(static_cast<int>(protocol));
        Hands hands;
        const auto button = button_of(protocol);
        const auto end = hands.press_remote(button, 10000, 400);
        const auto frames = heard(hands, end + 200000);
        // A frame starts at each period that begins inside the hold.
        const std::size_t expected = 1 + (400000 - 1) / sim::period_us(protocol);
        REQUIRE(frames.size() == expected);
        CHECK(frames[0].protocol == protocol);
        CHECK(engine::ir_code(frames[0]) == engine::ir_code(button));
        for (std::size_t i = 1; i < frames.size(); ++i) CHECK(frames[i].toggle == frames[0].toggle);
        CHECK(hands.is_quiet());
    }
}

TEST_CASE("remote: clock 5 % off and 15 us of jitter on each edge change no code of 10 protocols") {
    for (const Protocol protocol : k_protocols)
        for (const double clock : {-50.0, 50.0}) {
            CAPTURE(static_cast<int>(protocol));
            CAPTURE(clock);
            Hands hands(7);
            hands.set_air({15, clock, 0, 0});
            const auto button = button_of(protocol);
            const auto end = hands.press_remote(button, 10000, 400);
            const auto frames = heard(hands, end + 200000);
            REQUIRE(!frames.empty());
            for (const auto& frame : frames) {
                CHECK(frame.protocol == protocol);
                if (!frame.repeat) CHECK(engine::ir_code(frame) == engine::ir_code(button));
            }
        }
}

TEST_CASE("remote: heavy jitter (60 us) may cost a frame, but never gives another code") {
    CHECK(rc::check([](std::uint32_t seed) {
        for (const Protocol protocol : k_protocols) {
            Hands hands(seed);
            hands.set_air({60, 0, 0, 0});
            const auto button = button_of(protocol);
            const auto end = hands.press_remote(button, 10000, 200);
            for (const auto& frame : heard(hands, end + 200000)) {
                if (frame.protocol == Protocol::unknown) continue;
                RC_ASSERT(frame.protocol == protocol);
                RC_ASSERT(frame.repeat || engine::ir_code(frame) == engine::ir_code(button));
            }
        }
    }));
}

TEST_CASE("remote: of 93 repeats a third is lost, the first frame never, and the count says which") {
    Hands hands(3);
    hands.set_air({0, 0, 333, 0});
    const auto end = hands.press_remote(button_of(Protocol::nec), 10000, 10000);
    const auto frames = heard(hands, end + 200000);
    REQUIRE(!frames.empty());
    CHECK_FALSE(frames[0].repeat);
    const std::size_t sent = 1 + (10000000 - 1) / sim::period_us(Protocol::nec);
    CHECK(frames.size() + hands.repeats_lost() == sent);
    CHECK(hands.repeats_lost() > 15);
    CHECK(hands.repeats_lost() < 50);
}

TEST_CASE("remote: all repeats lost leaves the first frame alone") {
    Hands hands;
    hands.set_air({0, 0, 1000, 0});
    const auto end = hands.press_remote(button_of(Protocol::rc5), 10000, 1000);
    CHECK(end < 10000 + 30000);
    CHECK(heard(hands, 3000000).size() == 1);
}

TEST_CASE("remote: 5 bursts of noise a second between the frames cost none of 10 protocols a frame") {
    for (const Protocol protocol : k_protocols) {
        CAPTURE(static_cast<int>(protocol));
        Hands hands(11);
        hands.set_air({0, 0, 0, 5});
        const auto button = button_of(protocol);
        const auto end = hands.press_remote(button, 10000, 3000);
        std::size_t known = 0;
        for (const auto& frame : heard(hands, end + 200000)) known += frame.protocol == protocol ? 1 : 0;
        CHECK(known == 1 + (3000000 - 1) / sim::period_us(protocol));
    }
}

TEST_CASE("remote: RC-5 and RC-6 flip their toggle at each of 3 presses") {
    for (const Protocol protocol : {Protocol::rc5, Protocol::rc6}) {
        Hands hands;
        std::vector<int> toggles;
        std::uint64_t at = 10000;
        for (int i = 0; i < 3; ++i) at = hands.press_remote(button_of(protocol), at, 50) + 300000;
        for (const auto& frame : heard(hands, at)) toggles.push_back(frame.toggle);
        CHECK(toggles == std::vector<int>{0, 1, 0});
    }
}

TEST_CASE("remote: a second button pressed 30 ms into the first one's train is sent 20 ms after it") {
    Hands hands;
    const auto first = engine::make_ir_frame(Protocol::nec, 1, 2);
    const auto second = engine::make_ir_frame(Protocol::nec, 1, 3);
    const auto first_end = hands.press_remote(first, 10000, 150);
    const auto second_end = hands.press_remote(second, 40000, 50);
    CHECK(second_end > first_end);
    const auto widths = air(hands, second_end + 200000);
    const auto timed = sim::decode_widths_timed(widths);
    REQUIRE(timed.size() == 3);
    CHECK(engine::ir_code(timed[0].frame) == engine::ir_code(first));
    CHECK(timed[1].frame.repeat);
    CHECK(engine::ir_code(timed[2].frame) == engine::ir_code(second));
    CHECK(timed[2].start_us - timed[1].end_us == 20000);
}

TEST_CASE("remote: presses planned in any order never mix their trains") {
    CHECK(rc::check([](std::vector<std::pair<std::uint16_t, std::uint8_t>> presses) {
        if (presses.size() > 12) presses.resize(12);
        Hands hands;
        std::uint64_t last = 0;
        std::size_t frames = 0;
        for (const auto& [at_ms, hold_ms] : presses) {
            const auto button = button_of(k_protocols[at_ms % std::size(k_protocols)]);
            last = std::max(last, hands.press_remote(button, 10000 + 1000u * at_ms, hold_ms));
            frames += hold_ms == 0 ? 1 : 1 + (1000u * hold_ms - 1) / sim::period_us(button.protocol);
        }
        const auto got = heard(hands, last + 200000);
        RC_ASSERT(got.size() == frames);
        for (const auto& frame : got) RC_ASSERT(frame.protocol != Protocol::unknown);
    }));
}

TEST_CASE("remote: edges come in order of time and change the level each time") {
    CHECK(rc::check([](std::uint32_t seed) {
        Hands hands(seed);
        hands.set_air({90, -70, 100, 8});
        const auto end = hands.press_remote(button_of(Protocol::sirc20), 0, 800);
        int level = 0;
        std::uint32_t last = 0;
        for (const auto& edge : hands.take(end + 200000)) {
            RC_ASSERT(edge.level != level);
            RC_ASSERT(last == 0 || edge.at_us >= last + 20);
            level = edge.level;
            last = edge.at_us;
        }
        RC_ASSERT(level == 0);
    }));
}

TEST_CASE("remote: a protocol that nobody can send sends nothing") {
    Hands hands;
    CHECK(hands.press_remote(engine::make_ir_frame(Protocol::unknown, 1, 1), 5000, 300) == 5000);
    CHECK(hands.is_quiet());
}

TEST_CASE("remote: a hold of 400 ms let go of is the same train as a press of 400 ms, for 10 protocols") {
    for (const Protocol protocol : k_protocols)
        for (const std::uint32_t hold_ms : {0u, 1u, 130u, 400u}) {
            CAPTURE(static_cast<int>(protocol));
            CAPTURE(hold_ms);
            Hands pressed, held;
            const auto button = button_of(protocol);
            const auto end = pressed.press_remote(button, 10000, hold_ms);
            CHECK(held.hold_remote(button, 10000) == 10000);
            CHECK(held.is_remote_held());
            CHECK_FALSE(held.is_quiet());
            const std::uint64_t until = 10000 + std::uint64_t{hold_ms} * 1000;
            std::vector<engine::Edge> edges;
            for (std::uint64_t now = 1000; now <= until; now += 1000)
                for (const auto& edge : held.take(now)) edges.push_back(edge);
            CHECK(held.let_go(until) == end);
            CHECK_FALSE(held.is_remote_held());
            for (const auto& edge : held.take(end + 200000)) edges.push_back(edge);
            const auto planned = pressed.take(end + 200000);
            REQUIRE(edges.size() == planned.size());
            for (std::size_t i = 0; i < edges.size(); ++i) {
                CHECK(edges[i].at_us == planned[i].at_us);
                CHECK(edges[i].level == planned[i].level);
            }
            CHECK(held.is_quiet());
        }
}

TEST_CASE("remote: a hold of 10 s that nobody planned gives a frame each period until it is let go of") {
    Hands hands;
    const auto button = button_of(Protocol::nec);
    hands.hold_remote(button, 0);
    std::size_t marks = 0;
    for (std::uint64_t now = 1000; now <= 10000000; now += 1000)
        for (const auto& edge : hands.take(now)) marks += edge.level;
    const auto end = hands.let_go(10000000);
    for (const auto& edge : hands.take(end + 1000000)) marks += edge.level;
    const std::size_t frames = 1 + (10000000 - 1) / sim::period_us(Protocol::nec);
    // A whole NEC frame has 34 marks (leader, 32 bits, the last one), its repeat frame 2.
    CHECK(marks == 34 + 2 * (frames - 1));
    CHECK(hands.take(20000000).empty());
}

TEST_CASE("remote: a button pressed while another is held ends that hold and is sent 20 ms after its frame") {
    Hands hands;
    const auto first = engine::make_ir_frame(Protocol::nec, 1, 2);
    const auto second = engine::make_ir_frame(Protocol::nec, 1, 3);
    hands.hold_remote(first, 10000);
    const auto began = hands.take(30000);  // in the middle of the first frame
    CHECK_FALSE(began.empty());
    const auto starts = hands.hold_remote(second, 30000);
    CHECK(hands.let_go(30001) > starts);
    CHECK(hands.let_go(40000) == 40000);  // nothing is held
    std::vector<engine::Edge> edges = began;
    for (const auto& edge : hands.take(1000000)) edges.push_back(edge);
    std::vector<sim::PulseWidth> widths;
    std::uint32_t last_us = 0;
    for (const auto& edge : edges) {
        widths.push_back({edge.level == 0, edge.at_us - last_us});
        last_us = edge.at_us;
    }
    const auto timed = sim::decode_widths_timed(widths);
    REQUIRE(timed.size() == 2);
    CHECK(engine::ir_code(timed[0].frame) == engine::ir_code(first));
    CHECK(engine::ir_code(timed[1].frame) == engine::ir_code(second));
    CHECK(timed[1].start_us - timed[0].end_us == 20000);
}

TEST_CASE("remote: holds and presses in any order, with noise, never mix their trains") {
    CHECK(rc::check([](std::vector<std::pair<std::uint8_t, std::uint8_t>> steps, bool is_noisy) {
        if (steps.size() > 16) steps.resize(16);
        Hands hands(5);
        if (is_noisy) hands.set_air({0, 0, 0, 4});
        std::uint64_t now = 10000;
        std::vector<sim::PulseWidth> widths;
        std::uint32_t last_us = 0;
        const auto pass = [&](std::uint64_t until) {
            for (; now < until; now += 1000)
                for (const auto& edge : hands.take(now)) {
                    widths.push_back({edge.level == 0, edge.at_us - last_us});
                    last_us = edge.at_us;
                }
        };
        std::vector<std::uint32_t> wanted;
        for (const auto& [what, wait_ms] : steps) {
            const auto button = button_of(k_protocols[(what / 3) % std::size(k_protocols)]);
            if (what % 3 == 0) hands.hold_remote(button, now);
            if (what % 3 == 1) hands.let_go(now);
            if (what % 3 == 2) hands.press_remote(button, now, wait_ms);
            if (what % 3 != 1) wanted.push_back(engine::ir_code(button));
            pass(now + 1000u * wait_ms);
        }
        hands.let_go(now);
        pass(now + 30000000);
        RC_ASSERT(hands.is_quiet());
        for (const auto& frame : sim::decode_widths(widths))
            if (frame.protocol != Protocol::unknown && !frame.repeat)
                RC_ASSERT(std::count(wanted.begin(), wanted.end(), engine::ir_code(frame)) > 0);
        if (!is_noisy)
            for (const auto& frame : sim::decode_widths(widths))
                RC_ASSERT(frame.protocol != Protocol::unknown);
    }));
}

TEST_CASE("remote: a protocol that nobody can send is not held") {
    Hands hands;
    CHECK(hands.hold_remote(engine::make_ir_frame(Protocol::unknown, 1, 1), 5000) == 5000);
    CHECK_FALSE(hands.is_remote_held());
    CHECK(hands.is_quiet());
}
