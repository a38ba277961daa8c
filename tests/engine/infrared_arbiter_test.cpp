// Infrared: trains, gaps, silence, repeats, and what is left of frames that are not whole.
#include <doctest/doctest.h>

#include "tests/engine/infrared_support.hpp"

using namespace fettle;
using namespace fettle::test_infrared;
using engine::Infrared;

namespace {
const IrFrame k_nec_frame = frame_of(Protocol::nec, 0xA8, 0x14);
const IrFrame k_jvc_frame = frame_of(Protocol::jvc, 3, 5);
const IrFrame k_sharp_frame = frame_of(Protocol::sharp, 1, 0x16);

IrFrame as_repeat(IrFrame frame) {
    frame.repeat = true;
    return frame;
}

/// Feeds all widths and no silence after the last; false when none of them brought a frame.
bool feed(Infrared& infrared, const Widths& widths, IrFrame& out) {
    bool found = false;
    for (std::size_t i = 0; i < widths.size(); ++i) {
        found |= infrared.width(i % 2 == 0, static_cast<std::uint16_t>(widths[i]), out);
    }
    return found;
}

Infrared ready() {
    Infrared infrared;
    IrFrame out{};
    infrared.reset();
    CHECK_FALSE(infrared.silence(5000, out));
    return infrared;
}
}  // namespace

TEST_CASE("infrared: the object is at most 96 bytes") {
    CHECK(sizeof(Infrared) <= 96);
}

TEST_CASE("infrared: after reset nothing is decoded before 5 ms of silence") {
    Infrared infrared;
    IrFrame out{};
    infrared.reset();
    const auto widths = sim::encode(k_nec_frame);
    CHECK_FALSE(feed(infrared, widths, out));
    CHECK_FALSE(infrared.silence(4999, out));
    CHECK_FALSE(infrared.silence(5000, out));
    CHECK_FALSE(feed(infrared, widths, out));
    CHECK(infrared.silence(5000, out));
    CHECK(out == k_nec_frame);
}

TEST_CASE("infrared: a frame is reported once, at 5 ms of running silence, and not again with the space") {
    Infrared infrared = ready();
    IrFrame out{};
    CHECK_FALSE(feed(infrared, sim::encode(k_nec_frame), out));
    CHECK_FALSE(infrared.silence(1000, out));
    CHECK_FALSE(infrared.silence(4999, out));
    CHECK(infrared.silence(5000, out));
    CHECK(out == k_nec_frame);
    CHECK_FALSE(infrared.silence(6000, out));
    CHECK_FALSE(infrared.silence(65535, out));
    CHECK_FALSE(infrared.width(false, 39905, out));
}

TEST_CASE("infrared: a space of 5 ms reports the frame when nobody told of running silence") {
    for (const auto protocol : k_all_protocols) {
        Random random(8);
        const IrFrame sent = random_frame(protocol, random);
        CAPTURE(sent);
        Infrared infrared = ready();
        IrFrame out{};
        CHECK_FALSE(feed(infrared, sim::encode(sent), out));
        CHECK(infrared.width(false, 5000, out));
        CHECK(out == sent);
    }
}

TEST_CASE("infrared: a button held for 5 periods gives 5 frames of each protocol") {
    Random random(2);
    for (const auto protocol : k_all_protocols) {
        const IrFrame sent = random_frame(protocol, random);
        CAPTURE(sent);
        const auto frames = decoded(held(sent, 5));
        REQUIRE(frames.size() == 5);
        CHECK(frames[0] == sent);
        for (std::size_t i = 1; i < 5; ++i) {
            IrFrame expected = sent;
            if (protocol == Protocol::nec) expected = frame_of(Protocol::nec, 0, 0);
            expected.repeat = protocol == Protocol::nec || protocol == Protocol::jvc;
            CHECK(frames[i] == expected);
        }
    }
}

TEST_CASE("infrared: frames of all protocols one after another, 20 ms apart, are all reported") {
    Random random(12);
    for (int round = 0; round < 20; ++round) {
        Widths all;
        std::vector<IrFrame> sent;
        for (int i = 0; i < 10; ++i) {
            const auto protocol = k_all_protocols[static_cast<std::size_t>(uniform(random, 0, 9))];
            sent.push_back(random_frame(protocol, random));
            const auto widths = sim::encode(sent.back());
            all.insert(all.end(), widths.begin(), widths.end());
            all.push_back(20000);
        }
        CHECK(text_of(decoded(all)) == text_of(sent));
    }
}

TEST_CASE("infrared: nec: the repeat frame has code 0 and says repeat; the frame does not") {
    const auto frames = decoded(held(k_nec_frame, 2));
    REQUIRE(frames.size() == 2);
    CHECK(engine::ir_code(frames[0]) == 0x00A814);
    CHECK_FALSE(frames[0].repeat);
    CHECK(engine::ir_code(frames[1]) == 0);
    CHECK(frames[1].repeat);
}

TEST_CASE("infrared: nec: a command without its complement is unknown, not a code") {
    auto widths = sim::encode(k_nec_frame);
    widths[2 + 2 * 31 + 1] = widths[2 + 2 * 31 + 1] > 1000 ? 563 : 1688;
    const auto frames = decoded(widths);
    REQUIRE(frames.size() == 1);
    CHECK(frames[0].protocol == Protocol::unknown);
}

TEST_CASE("infrared: leader 4.5/4.5 ms: equal address bytes are samsung32, other bytes are nec or necx") {
    auto widths = sim::encode(frame_of(Protocol::samsung32, 7, 2));
    CHECK(decoded(widths).at(0) == frame_of(Protocol::samsung32, 7, 2));
    widths[2 + 2 * 8 + 1] = 560;  // first bit of the second byte: 7 becomes 6
    CHECK(decoded(widths).at(0) == frame_of(Protocol::necx, 0x0706, 2));
    auto nec = sim::encode(k_nec_frame);
    nec[0] = 4500;
    CHECK(decoded(nec).at(0) == k_nec_frame);
}

TEST_CASE("infrared: leader 9/4.5 ms: equal address bytes are necx, complements are nec") {
    CHECK(decoded(sim::encode(frame_of(Protocol::necx, 0x0707, 2))).at(0) ==
          frame_of(Protocol::necx, 0x0707, 2));
    CHECK(sim::encode(frame_of(Protocol::necx, 0x07F8, 2)).empty());
}

TEST_CASE("infrared: jvc: a frame without leader counts only after the same one with leader") {
    const auto headed = sim::encode(k_jvc_frame);
    const auto bare = sim::encode(as_repeat(k_jvc_frame));
    const auto bare_other = sim::encode(as_repeat(frame_of(Protocol::jvc, 3, 6)));

    auto frames = decoded(bare);
    REQUIRE(frames.size() == 1);
    CHECK(frames[0].protocol == Protocol::unknown);

    frames = decoded(joined(headed, 20000, bare));
    REQUIRE(frames.size() == 2);
    CHECK(frames[1] == as_repeat(k_jvc_frame));

    frames = decoded(joined(headed, 20000, bare_other));
    REQUIRE(frames.size() == 2);
    CHECK(frames[1].protocol == Protocol::unknown);

    frames = decoded(joined(joined(headed, 20000, sim::encode(k_nec_frame)), 40000, bare));
    REQUIRE(frames.size() == 3);
    CHECK(frames[2].protocol == Protocol::unknown);

    frames = decoded(joined(joined(headed, 300000, bare), 20000, bare));  // five periods lost
    REQUIRE(frames.size() == 3);
    CHECK(frames[1] == as_repeat(k_jvc_frame));
    CHECK(frames[2] == as_repeat(k_jvc_frame));
}

TEST_CASE("infrared: sharp: message and echo give one frame; half of a pair gives nothing") {
    const auto pair = sim::encode(k_sharp_frame);
    const Widths message(pair.begin(), pair.begin() + 31);
    const Widths echo(pair.begin() + 32, pair.end());
    CHECK(decoded(message).empty());
    CHECK(decoded(echo).empty());
    CHECK(decoded(joined(message, 40000, message)).empty());
    CHECK(decoded(joined(echo, 40000, message)).empty());

    // Lost echo, lost message: the next whole pair counts.
    CHECK(text_of(decoded(joined(message, 104000, pair))) == text_of({k_sharp_frame}));
    CHECK(text_of(decoded(joined(echo, 42000, pair))) == text_of({k_sharp_frame}));
}

TEST_CASE("infrared: sharp: the echo counts 30 to 50 ms after the message and not outside") {
    // Source: Linux 6.1, drivers/media/rc/ir-sharp-decoder.c: 40 ms +- 10 ms.
    const auto pair = sim::encode(k_sharp_frame);
    for (const std::uint32_t gap_us : {29999u, 30000u, 40000u, 50000u, 50001u, 200000u}) {
        CAPTURE(gap_us);
        auto widths = pair;
        widths[31] = gap_us;
        CHECK(decoded(widths).size() == (gap_us >= 30000 && gap_us <= 50000 ? 1u : 0u));
    }
}

TEST_CASE("infrared: sharp: the echo of another command, or anything between, gives nothing of sharp") {
    const auto pair = sim::encode(k_sharp_frame);
    const auto other = sim::encode(frame_of(Protocol::sharp, 1, 0x17));
    const Widths message(pair.begin(), pair.begin() + 31);
    const Widths wrong_echo(other.begin() + 32, other.end());
    CHECK(decoded(joined(message, 40000, wrong_echo)).empty());
    const Widths echo(pair.begin() + 32, pair.end());
    const Widths click = {600};
    CHECK(decoded(joined(joined(message, 20000, click), 20000, echo)).empty());
}

TEST_CASE("infrared: sirc: 12, 15 and 20 bits are told apart at the silence, frames 45 ms apart") {
    for (const auto protocol : {Protocol::sirc12, Protocol::sirc15, Protocol::sirc20}) {
        const IrFrame sent =
            frame_of(protocol, 0x12, 0x34, engine::k_no_toggle, protocol == Protocol::sirc20 ? 0x5A : 0);
        CHECK(text_of(decoded(held(sent, 3))) == text_of({sent, sent, sent}));
    }
}

TEST_CASE("infrared: sirc: 11, 13, 14, 16 and 19 bits are not SIRC") {
    const auto twenty = sim::encode(frame_of(Protocol::sirc20, 0x12, 0x34, engine::k_no_toggle, 0x5A));
    for (const int bits : {11, 13, 14, 16, 19}) {
        CAPTURE(bits);
        const auto frames = decoded(Widths(twenty.begin(), twenty.begin() + 1 + 2 * bits));
        REQUIRE(frames.size() == 1);
        CHECK(frames[0].protocol == Protocol::unknown);
    }
}

TEST_CASE(
    "infrared: rc5: 128 commands with both field bits and both toggles, to 1 us of the first mark's limit") {
    for (unsigned command = 0; command < 128; ++command) {
        for (const unsigned toggle : {0u, 1u}) {
            const IrFrame sent = frame_of(Protocol::rc5, 0x15, command, toggle);
            CHECK(text_of(decoded(sim::encode(sent))) == text_of({sent}));
        }
    }
    auto widths = sim::encode(frame_of(Protocol::rc5, 5, 80, 0));
    REQUIRE(widths[0] == 1778);
    widths[0] = 2010;
    CHECK(decoded(widths).at(0).protocol == Protocol::rc5);
    widths[0] = 2011;
    CHECK(decoded(widths).at(0).protocol == Protocol::unknown);
}

TEST_CASE("infrared: a frame whose beginning was missed is never reported as a code") {
    Random random(4);
    for (const auto protocol : k_all_protocols) {
        const IrFrame sent = random_frame(protocol, random);
        const auto widths = sim::encode(sent);
        const std::size_t last_start = protocol == Protocol::sharp ? 30 : widths.size() - 1;
        for (std::size_t first = 2; first <= last_start; first += 2) {
            const auto frames =
                decoded(Widths(widths.begin() + static_cast<std::ptrdiff_t>(first), widths.end()));
            CAPTURE(sent);
            CAPTURE(first);
            CAPTURE(text_of(frames));
            for (const auto& frame : frames) CHECK(frame.protocol == Protocol::unknown);
        }
    }
}

TEST_CASE("infrared: the first 5 ms after a glitch are deaf; a frame later than that is whole") {
    const Widths glitch = {150};
    const auto frame = sim::encode(k_nec_frame);
    const auto near = decoded(joined(glitch, 4000, frame));
    for (const auto& found : near) CHECK(found.protocol == Protocol::unknown);
    CHECK(text_of(decoded(joined(glitch, 5000, frame))) == text_of({k_nec_frame}));
}

TEST_CASE("infrared: noise of 1 to 5 marks between frames gives nothing and costs no frame") {
    Random random(6);
    for (int round = 0; round < 200; ++round) {
        const auto protocol = k_all_protocols[static_cast<std::size_t>(uniform(random, 0, 9))];
        if (protocol == Protocol::sharp) continue;  // noise between message and echo breaks the pair
        const IrFrame sent = random_frame(protocol, random);
        Widths noise = {static_cast<std::uint32_t>(uniform(random, 50, 1500))};
        for (int marks = uniform(random, 0, 4); marks > 0; --marks) {
            noise.push_back(static_cast<std::uint32_t>(uniform(random, 50, 4000)));
            noise.push_back(static_cast<std::uint32_t>(uniform(random, 50, 1500)));
        }
        const auto widths = joined(joined(sim::encode(sent), 7000, noise), 7000, sim::encode(sent));
        CHECK(text_of(decoded(widths)) == text_of({sent, sent}));
    }
}

TEST_CASE("infrared: a glitch inside any space of a frame gives no code") {
    Random random(13);
    for (const auto protocol : k_all_protocols) {
        const IrFrame sent = random_frame(protocol, random);
        const auto widths = sim::encode(sent);
        for (std::size_t at = 1; at < widths.size(); at += 2) {
            Widths broken(widths.begin(), widths.begin() + static_cast<std::ptrdiff_t>(at));
            const std::uint32_t half = (widths[at] - 40) / 2;
            broken.insert(broken.end(), {half, 40, half});
            broken.insert(broken.end(), widths.begin() + static_cast<std::ptrdiff_t>(at) + 1, widths.end());
            const auto frames = decoded(broken);
            CAPTURE(sent);
            CAPTURE(at);
            CAPTURE(text_of(frames));
            for (const auto& frame : frames) CHECK(frame.protocol == Protocol::unknown);
        }
    }
}

TEST_CASE("infrared: two marks or two spaces in a row: deaf until 5 ms of silence, then whole again") {
    Infrared infrared = ready();
    IrFrame out{};
    CHECK_FALSE(infrared.width(true, 9000, out));
    CHECK_FALSE(infrared.width(true, 563, out));
    CHECK_FALSE(feed(infrared, sim::encode(k_nec_frame), out));
    CHECK_FALSE(infrared.silence(5000, out));
    CHECK_FALSE(feed(infrared, sim::encode(k_nec_frame), out));
    CHECK(infrared.silence(5000, out));

    CHECK_FALSE(feed(infrared, {9000, 4500, 563, 563}, out));
    CHECK_FALSE(infrared.width(false, 563, out));
    CHECK_FALSE(feed(infrared, sim::encode(k_nec_frame), out));
    CHECK_FALSE(infrared.silence(5000, out));
    CHECK_FALSE(feed(infrared, sim::encode(k_nec_frame), out));
    CHECK(infrared.silence(5000, out));
    CHECK(out == k_nec_frame);
}

TEST_CASE("infrared: a saturated mark of 65535 us is nobody's, and the next frame is whole") {
    const Widths stuck = {65535};
    CHECK(text_of(decoded(joined(stuck, 6000, sim::encode(k_nec_frame)))) == text_of({k_nec_frame}));
}

TEST_CASE("infrared: the 4.5 ms space of a leader 7 % and 2 edges long, 5015 us, does not end the train") {
    auto widths = scaled(sim::encode(k_nec_frame), 1070);
    widths[1] = 5015;
    CHECK(text_of(decoded(widths)) == text_of({k_nec_frame}));
}

TEST_CASE("infrared: codes: necx keeps 16 address bits, sirc20 its third field; the toggle is left out") {
    CHECK(engine::ir_code(frame_of(Protocol::necx, 0x866B, 0x18)) == 0x00866B18);
    CHECK(engine::ir_code(frame_of(Protocol::sirc20, 0x1A, 0x15, engine::k_no_toggle, 0x49)) == 0x49001A15);
    CHECK(engine::ir_code(frame_of(Protocol::rc5, 5, 16, 0)) ==
          engine::ir_code(frame_of(Protocol::rc5, 5, 16, 1)));
    IrFrame unknown = frame_of(Protocol::unknown, 0, 0);
    unknown.signature = 0x12345678;
    CHECK(engine::ir_code(unknown) == 0x12345678);
}
