// Both framings over a port that is a script.

#include "core/link/framed_link.hpp"

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include <string_view>

#include "tests/link/scripted_port.hpp"

using namespace fettle;
using namespace fettle::test;
using link::ChannelKind;
using link::HidLink;
using link::Message;
using link::SerialLink;

namespace {

template <typename Framed>
struct On {
    ScriptedPort* port;
    Framed link;
    On() : On(std::make_unique<ScriptedPort>()) {}

    std::optional<Message> take(std::uint32_t wait_ms = 0) {
        auto got = link.receive(wait_ms);
        REQUIRE(got.has_value());
        return *got;
    }

private:
    explicit On(std::unique_ptr<ScriptedPort> made) : port(made.get()), link(std::move(made)) {
        port->is_stream = std::is_same_v<Framed, SerialLink>;
    }
};

const Message k_hello{0x01, 0x2A, 1, 0};
const Message k_longest(wire::k_message_max, 0x5A);

Bytes report_of(const Message& message) {
    Bytes report(wire::k_hid_report_bytes);
    REQUIRE(wire::pack_report(message.data(), static_cast<std::uint8_t>(message.size()), report.data()));
    return report;
}

Bytes frame_of(const Message& message) {
    Bytes frame(wire::k_serial_frame_max);
    frame.resize(wire::pack_serial(message.data(), static_cast<std::uint8_t>(message.size()), frame.data()));
    REQUIRE(frame.size() > message.size());
    return frame;
}

Bytes bad_report() {
    Bytes report = report_of(k_hello);
    report[1] = 0;
    return report;
}

Bytes joined(std::initializer_list<Bytes> parts) {
    Bytes all;
    for (const Bytes& part : parts) all.insert(all.end(), part.begin(), part.end());
    return all;
}

}  // namespace

TEST_CASE("HidLink: a message goes out as one report of 64 bytes: id 1, its length, itself, zeros") {
    On<HidLink> on;
    REQUIRE(on.link.send(k_hello).has_value());
    REQUIRE(on.port->written.size() == 1);
    const Bytes& report = on.port->written[0];
    REQUIRE(report.size() == 64);
    CHECK(Bytes(report.begin(), report.begin() + 6) == Bytes{1, 4, 0x01, 0x2A, 1, 0});
    CHECK(Bytes(report.begin() + 6, report.end()) == Bytes(58, 0));
}

TEST_CASE("SerialLink: nine digits go out as COBS with their CRC, between zeros") {
    On<SerialLink> on;
    const std::string_view digits = "123456789";
    REQUIRE(on.link.send(Message(digits.begin(), digits.end())).has_value());
    REQUIRE(on.port->written.size() == 1);
    // Source: CRC-16/CCITT-FALSE of the nine digits is 0x29B1 (the catalogue's check value); 11 bytes without
    // a zero are one COBS block of code 12 (Cheshire and Baker, Consistent Overhead Byte Stuffing, 1999).
    CHECK(on.port->written[0] == Bytes{0, 12, '1', '2', '3', '4', '5', '6', '7', '8', '9', 0xB1, 0x29, 0});
    on.port->arrive(on.port->written[0]);
    CHECK(on.take() == Message(digits.begin(), digits.end()));
}

TEST_CASE("framings: messages of 0, 1, 63, 256 and 300 bytes are too large or too small and never written") {
    On<HidLink> hid;
    On<SerialLink> serial;
    for (const std::size_t size : {0u, 1u, 63u, 256u, 258u, 300u}) {
        CAPTURE(size);
        CHECK(hid.link.send(Message(size, 1)).error().code == Errc::too_large);
        CHECK(serial.link.send(Message(size, 1)).error().code == Errc::too_large);
    }
    CHECK(hid.port->written.empty());
    CHECK(serial.port->written.empty());
}

TEST_CASE("framings: messages of 2 to 62 bytes arrive as they were sent") {
    On<HidLink> hid;
    On<SerialLink> serial;
    for (std::size_t size = 2; size <= 62; ++size) {
        CAPTURE(size);
        Message message(size);
        for (std::size_t i = 0; i < size; ++i) message[i] = static_cast<std::uint8_t>(i % 3);
        REQUIRE(hid.link.send(message).has_value());
        REQUIRE(serial.link.send(message).has_value());
        hid.port->arrive(hid.port->written.back());
        serial.port->arrive(serial.port->written.back());
        CHECK(hid.take() == message);
        CHECK(serial.take() == message);
    }
    CHECK(hid.link.bad_frames() == 0);
    CHECK(serial.link.bad_frames() == 0);
}

TEST_CASE("framings: they say what they are, or what they were told to say, and the port's time") {
    On<HidLink> hid;
    On<SerialLink> serial;
    CHECK(hid.link.channel() == ChannelKind::hid);
    CHECK(serial.link.channel() == ChannelKind::serial);
    const HidLink simulated(std::make_unique<ScriptedPort>(), ChannelKind::simulated);
    CHECK(simulated.channel() == ChannelKind::simulated);
    CHECK_FALSE(hid.take(7).has_value());
    CHECK(hid.link.now_us() == 7000);
    CHECK(hid.link.now_ms() == 7);
    CHECK(hid.link.changeovers() == 0);
    CHECK_FALSE(hid.link.change_over());
}

TEST_CASE("HidLink: reports of 1, 63 and 65 bytes, of another id, of lengths 0, 1, 63 and 255 are counted") {
    On<HidLink> on;
    const Bytes good = report_of(k_longest);
    for (const std::size_t size : {1u, 63u, 65u}) {
        Bytes other = good;
        other.resize(size);
        on.port->arrive(other);
    }
    for (const std::uint8_t id : std::initializer_list<std::uint8_t>{0, 2, 3, 255}) {
        Bytes other = good;
        other[0] = id;
        on.port->arrive(other);
    }
    for (const std::uint8_t length : std::initializer_list<std::uint8_t>{0, 1, 63, 255}) {
        Bytes other = good;
        other[1] = length;
        on.port->arrive(other);
    }
    on.port->arrive(good);
    CHECK(on.take() == k_longest);
    CHECK(on.link.bad_frames() == 11);
    CHECK_FALSE(on.take().has_value());
}

TEST_CASE("framings: with nothing there 0 and 250 ms are waited, to the microsecond") {
    On<HidLink> hid;
    On<SerialLink> serial;
    for (const std::uint32_t wait_ms : {0u, 250u}) {
        const auto hid_us = hid.link.now_us(), serial_us = serial.link.now_us();
        CHECK_FALSE(hid.take(wait_ms).has_value());
        CHECK_FALSE(serial.take(wait_ms).has_value());
        CHECK(hid.link.now_us() - hid_us == wait_ms * 1000);
        CHECK(serial.link.now_us() - serial_us == wait_ms * 1000);
    }
}

TEST_CASE("framings: a message that comes after 40 of 100 ms is not waited past") {
    On<HidLink> hid;
    On<SerialLink> serial;
    hid.port->arrive(report_of(k_hello), 40000);
    serial.port->arrive(frame_of(k_hello), 40000);
    CHECK(hid.take(100) == k_hello);
    CHECK(serial.take(100) == k_hello);
    CHECK(hid.link.now_us() == 40000);
    CHECK(serial.link.now_us() == 40000);
}

TEST_CASE("framings: reads that come back empty after 7 ms, as after a signal, are repeated up to 100 ms") {
    On<HidLink> hid;
    On<SerialLink> serial;
    hid.port->longest_wait_ms = serial.port->longest_wait_ms = 7;
    CHECK_FALSE(hid.take(100).has_value());
    CHECK_FALSE(serial.take(100).has_value());
    CHECK(hid.link.now_us() == 100000);
    CHECK(serial.link.now_us() == 100000);
    hid.port->arrive(report_of(k_hello), 190000);
    CHECK(hid.take(100) == k_hello);
}

TEST_CASE("HidLink: a bad report every 3 ms does not make 100 ms longer, and each is counted") {
    On<HidLink> on;
    on.port->source = [](std::uint64_t now_us) {
        return ScriptedPort::Arrival{(now_us / 3000 + 1) * 3000, bad_report()};
    };
    CHECK_FALSE(on.take(100).has_value());
    CHECK(on.link.now_us() <= 100000);
    CHECK(on.link.now_us() > 98000);
    CHECK(on.link.bad_frames() == 33);
}

TEST_CASE("SerialLink: garbage without an end, with and without zeros, does not make 100 ms longer") {
    for (const std::uint8_t byte : std::initializer_list<std::uint8_t>{0x00, 0x01, 0x7F, 0xFF}) {
        CAPTURE(int{byte});
        On<SerialLink> on;
        on.port->source = [byte](std::uint64_t now_us) {
            return ScriptedPort::Arrival{now_us + 700, Bytes(300, byte)};
        };
        CHECK_FALSE(on.take(100).has_value());
        CHECK(on.link.now_us() <= 100000);
        CHECK(on.link.now_us() > 98000);
        on.port->source = {};
        on.port->arrivals.clear();
        on.port->arrive(frame_of(k_hello));
        CHECK(on.take() == k_hello);
    }
}

TEST_CASE("HidLink: without waiting, a message behind 63 bad reports is found, an endless row of them ends") {
    On<HidLink> on;
    for (int i = 0; i < 63; ++i) on.port->arrive(bad_report());
    on.port->arrive(report_of(k_hello));
    CHECK(on.take() == k_hello);
    CHECK(on.link.bad_frames() == 63);
    on.port->source = [](std::uint64_t) { return ScriptedPort::Arrival{0, bad_report()}; };
    CHECK_FALSE(on.take().has_value());
    CHECK(on.link.bad_frames() == 63 + 64);
    CHECK(on.link.now_us() == 0);
}

TEST_CASE("HidLink: bad reports that take 100 us each to read are looked through for a millisecond") {
    On<HidLink> on;
    on.port->read_us = 100;
    on.port->source = [](std::uint64_t) { return ScriptedPort::Arrival{0, bad_report()}; };
    CHECK_FALSE(on.take().has_value());
    CHECK(on.link.now_us() <= 1100);
    CHECK_FALSE(on.take(20).has_value());
    CHECK(on.link.now_us() <= 1100 + 20000 + 100);
}

TEST_CASE("SerialLink: a frame that comes in two reads is whole, wherever it is cut") {
    const Bytes frame = frame_of(k_longest);
    for (std::size_t cut = 0; cut <= frame.size(); ++cut) {
        CAPTURE(cut);
        On<SerialLink> on;
        const auto middle = frame.begin() + static_cast<std::ptrdiff_t>(cut);
        on.port->arrive(Bytes(frame.begin(), middle), 1000);
        on.port->arrive(Bytes(middle, frame.end()), 9000);
        CHECK_FALSE(on.take(0).has_value());
        CHECK(on.take(50) == k_longest);
        CHECK(on.link.bad_frames() == 0);
    }
}

TEST_CASE("SerialLink: three messages in one read are three, and the port is read once for them") {
    On<SerialLink> on;
    on.port->arrive(joined({frame_of(k_hello), frame_of(k_longest), frame_of(k_hello)}));
    CHECK(on.take(10) == k_hello);
    CHECK(on.take(10) == k_longest);
    CHECK(on.take(10) == k_hello);
    CHECK(on.port->reads == 1);
    CHECK(on.link.now_us() == 0);
}

TEST_CASE("SerialLink: a wrong CRC, half a frame and 1,000 bytes of noise are a bad frame each") {
    On<SerialLink> on;
    Bytes flipped = frame_of(k_hello);
    flipped[2] ^= 0x40;
    Bytes half = frame_of(k_longest);
    half.resize(30);
    on.port->arrive(joined({flipped, half, {0}, Bytes(1000, 0x33), {0}, frame_of(k_hello)}));
    CHECK(on.take() == k_hello);
    CHECK(on.link.bad_frames() == 3);
}

TEST_CASE("framings: closed, timed out and io are handed on as the port says them") {
    for (const Errc code : {Errc::closed, Errc::timed_out, Errc::io}) {
        On<HidLink> hid;
        On<SerialLink> serial;
        const Error said{code, "node", "words"};
        hid.port->failure = serial.port->failure = said;
        CHECK(hid.link.send(k_hello).error() == said);
        CHECK(serial.link.send(k_hello).error() == said);
        CHECK(hid.link.receive(5).error() == said);
        CHECK(serial.link.receive(5).error() == said);
        serial.port->failure = hid.port->failure = std::nullopt;
        hid.port->arrive(report_of(k_hello));
        serial.port->arrive(frame_of(k_hello));
        CHECK(hid.take() == k_hello);
        CHECK(serial.take() == k_hello);
    }
}

TEST_CASE("property: whatever reports come, each is one message of 2 to 62 bytes or one that is counted") {
    CHECK(rc::check([](const std::vector<Bytes>& reports, bool looks_right) {
        On<HidLink> on;
        std::size_t came = 0, heard = 0;
        for (Bytes report : reports) {
            if (looks_right) report.resize(64);
            if (looks_right) report[0] = 1;
            if (report.empty()) continue;
            ++came;
            on.port->arrive(std::move(report));
        }
        while (!on.port->arrivals.empty())
            if (const auto message = *on.link.receive(0)) {
                ++heard;
                RC_ASSERT(message->size() >= 2u);
                RC_ASSERT(message->size() <= 62u);
            }
        RC_ASSERT(heard + on.link.bad_frames() == came);
    }));
}

TEST_CASE(
    "property: whatever bytes come between frames, at most one message a zero, and no frame is missed") {
    CHECK(rc::check([](const std::vector<Bytes>& noise, std::uint8_t cut) {
        On<SerialLink> on;
        Bytes all;
        for (const Bytes& part : noise) {
            all.insert(all.end(), part.begin(), part.end());
            const Bytes frame = frame_of(k_hello);  // begins with a zero
            all.insert(all.end(), frame.begin(), frame.end());
        }
        const auto zeros = static_cast<std::size_t>(std::count(all.begin(), all.end(), 0));
        const std::size_t step = cut + 1u;
        for (std::size_t at = 0; at < all.size(); at += step)
            on.port->arrive(
                Bytes(all.begin() + static_cast<std::ptrdiff_t>(at),
                      all.begin() + static_cast<std::ptrdiff_t>(std::min(at + step, all.size()))));
        std::size_t heard = 0, ours = 0;
        for (std::size_t tries = 0; tries <= 2 * all.size(); ++tries)
            if (const auto message = *on.link.receive(0)) {
                ++heard;
                if (*message == k_hello) ++ours;
                RC_ASSERT(message->size() >= 2u);
                RC_ASSERT(message->size() <= 62u);
            }
        RC_ASSERT(on.port->arrivals.empty());
        RC_ASSERT(ours >= noise.size());
        RC_ASSERT(heard <= zeros);
    }));
}
