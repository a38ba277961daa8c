#include "core/measure/room_codes.hpp"

#include <doctest/doctest.h>

#include <vector>

#include "core/engine/engine.hpp"
#include "core/sim/hands.hpp"
#include "tests/measure/bench_board.hpp"
#include "tests/trace/events.hpp"

using namespace fettle;
using namespace fettle::test;
using engine::EventKind;
using engine::IrFrame;
using engine::make_ir_frame;
using engine::Protocol;
using trace::Roll;

namespace {

constexpr int k_nec = 1, k_rc5 = 3, k_jvc = 8, k_unknown = 11;

std::uint32_t code_of(Protocol protocol, std::uint16_t address, std::uint16_t command) {
    return engine::ir_code(make_ir_frame(protocol, address, command));
}

}  // namespace

TEST_CASE("room test: 2 codes, 3 repeats, a third code that nobody obeys, 14 edges of noise in 2 bursts") {
    const std::vector<IrFrame> taught = {make_ir_frame(Protocol::nec, 4, 8),
                                         make_ir_frame(Protocol::none, 0, 0),
                                         make_ir_frame(Protocol::rc5, 5, 16)};
    Roll roll;
    roll.append(0, snapshot(0, 0));
    roll.append(1000, infrared(k_nec, false, code_of(Protocol::nec, 4, 8)));
    roll.append(109000, infrared(k_nec, true, 0));
    roll.append(217000, infrared(k_nec, true, 0));
    roll.append(400000, infrared(k_rc5, false, code_of(Protocol::rc5, 5, 16)));
    roll.append(500000, event(EventKind::ir_noise, {9}));
    roll.append(600000, infrared(k_nec, false, code_of(Protocol::nec, 4, 9)));
    roll.append(700000, infrared(k_nec, true, 0));
    roll.append(800000, event(EventKind::ir_noise, {5}));
    roll.append(900000, infrared(k_nec, false, code_of(Protocol::nec, 4, 8)));
    const auto test = measure::room_test(roll, 0, 1000000, taught);
    REQUIRE(test.codes.size() == 3);
    CHECK(test.codes[0].protocol == Protocol::nec);
    CHECK(test.codes[0].address == 4);
    CHECK(test.codes[0].command == 8);
    CHECK(test.codes[0].times == 2);
    CHECK(test.codes[0].repeats == 2);
    CHECK(test.codes[0].first_us == 1000);
    CHECK(test.codes[0].last_us == 900000);
    CHECK(test.codes[0].inputs == std::vector<std::uint8_t>{0});
    CHECK(test.codes[1].inputs == std::vector<std::uint8_t>{2});
    CHECK(test.codes[2].inputs.empty());
    CHECK(test.codes[2].repeats == 1);
    CHECK(test.noise_bursts == 2);
    CHECK(test.noise_edges == 14);
    CHECK(test.orphan_repeats == 0);
    CHECK(test.long_us == 900000);
}

TEST_CASE("room test: a repeat before any code, and the 1 after a gap, belong to nobody") {
    Roll roll;
    roll.append(0, infrared(k_nec, true, 0));
    roll.append(1000, infrared(k_nec, false, code_of(Protocol::nec, 1, 1)));
    roll.append_gap(1);
    roll.append(2000, infrared(k_nec, true, 0));
    const auto test = measure::room_test(roll, -10, 10000, {});
    CHECK(test.orphan_repeats == 2);
    CHECK(test.codes.at(0).repeats == 0);
    CHECK(test.gaps == 1);
}

TEST_CASE(
    "room test: a JVC repeat names its own code; one of another protocol with the same number is not it") {
    const std::uint32_t code = code_of(Protocol::jvc, 3, 7);
    Roll roll;
    roll.append(0, infrared(k_jvc, false, code));
    roll.append(50000, infrared(k_jvc, true, code));
    roll.append(90000, infrared(k_nec, false, code));
    const std::vector<IrFrame> taught = {make_ir_frame(Protocol::jvc, 3, 7)};
    const auto test = measure::room_test(roll, 0, 100000, taught);
    REQUIRE(test.codes.size() == 2);
    CHECK(test.codes[0].repeats == 1);
    CHECK(test.codes[0].inputs.size() == 1);
    CHECK(test.codes[1].inputs.empty());
}

TEST_CASE("room test: an unknown remote's signature is a code of its own, taught to 2 inputs both obey") {
    IrFrame taught = make_ir_frame(Protocol::unknown, 0, 0);
    taught.signature = 0xDEADBEEF;
    const std::vector<IrFrame> inputs = {taught, taught};
    Roll roll;
    roll.append(0, infrared(k_unknown, false, 0xDEADBEEF));
    roll.append(1, infrared(k_unknown, false, 0xDEADBEEE));
    const auto test = measure::room_test(roll, 0, 100, inputs);
    REQUIRE(test.codes.size() == 2);
    CHECK(test.codes[0].signature == 0xDEADBEEF);
    CHECK(test.codes[0].address == 0);
    CHECK(test.codes[0].inputs == std::vector<std::uint8_t>{0, 1});
    CHECK(test.unknown_frames == 2);
}

TEST_CASE("room test: only the asked part counts; an empty roll gives nothing") {
    Roll roll;
    for (int i = 0; i < 10; ++i) roll.append(i * 100000, infrared(k_rc5, false, 7));
    const auto test = measure::room_test(roll, 200000, 500000, {});
    CHECK(test.codes.at(0).times == 3);
    CHECK(test.long_us == 300000);
    CHECK(measure::room_test(Roll(), 0, 100, {}).codes.empty());
}

TEST_CASE(
    "room test: pulse trains of 2 remotes through the engine: both codes, held for 1 s, with their repeats") {
    sim::Hands hands;
    const IrFrame ours = make_ir_frame(Protocol::nec, 0x20, 0x11),
                  other = make_ir_frame(Protocol::jvc, 0x40, 0x05);
    hands.press_remote(ours, 100000, 1000);
    hands.press_remote(other, 2000000, 1000);
    Roll roll;
    engine::Engine engine;
    engine.start(
        {&roll, [](void* owner, const engine::Event& e) { static_cast<Roll*>(owner)->append(e.at_us, e); }});
    engine::TickOutputs out{};
    for (std::uint32_t us = 1000; us < 4000000; us += 1000) {
        const auto edges = hands.take(us);
        engine::TickInputs in{};
        in.now_us = us;
        in.edges = edges.data();
        in.edge_count = static_cast<std::uint8_t>(edges.size());
        engine.tick(in, out);
    }
    const std::vector<IrFrame> taught = {other, ours};
    const auto test = measure::room_test(roll, 0, 5000000, taught);
    REQUIRE(test.codes.size() == 2);
    CHECK(test.codes[0].protocol == Protocol::nec);
    CHECK(test.codes[0].times == 1);
    CHECK(test.codes[0].repeats >=
          8);  // Source: infraredremotes.com, NEC: a repeat each 108 ms (from memory)
    CHECK(test.codes[0].repeats <= 10);
    CHECK(test.codes[0].inputs == std::vector<std::uint8_t>{1});
    CHECK(test.codes[1].protocol == Protocol::jvc);
    CHECK(test.codes[1].repeats >= 10);
    CHECK(test.codes[1].inputs == std::vector<std::uint8_t>{0});
    CHECK(test.noise_bursts == 0);
}
