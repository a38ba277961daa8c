// Telemetry of a scripted device: gaps, repeats, wraps, garbage.

#include <doctest/doctest.h>

#include "core/engine/report.hpp"
#include "tests/link/scripted_link.hpp"
#include "tests/sim/rig.hpp"

using namespace fettle;
using namespace fettle::test;
using engine::EventKind;
using link::Session;
using link::TimedEvent;
using wire::MessageType;

namespace {

/// A telemetry batch of one event: mode 0, at a stamp.
link::Message batch(std::uint16_t boot_id, std::uint16_t sequence, std::uint32_t at_us) {
    link::Message m(wire::k_message_head + wire::k_telemetry_head);
    m[0] = static_cast<std::uint8_t>(MessageType::telemetry);
    engine::put16(m.data() + 2, boot_id);
    engine::put16(m.data() + 4, sequence);
    engine::put32(m.data() + 6, at_us);
    for (const int byte : {0, 0, static_cast<int>(EventKind::mode), 0, 0})
        m.push_back(static_cast<std::uint8_t>(byte));
    return m;
}

/// Answers hello, and subscribe with boot id 7 and next sequence 100.
void plain_device(const link::Message& message, std::deque<link::Message>& answers) {
    std::uint8_t raw[wire::k_message_max];
    if (message[0] == static_cast<std::uint8_t>(MessageType::hello))
        answers.push_back(hello_reply(message[1]));
    if (message[0] == static_cast<std::uint8_t>(MessageType::subscribe)) {
        const auto size = wire::put_subscribe(raw, message[1], {7, 100});
        answers.emplace_back(raw, raw + size);
    }
}

struct Scripted {
    ScriptedLink* link = nullptr;
    std::unique_ptr<Session> session;
    std::vector<TimedEvent> heard;
    Scripted() {
        auto made = std::make_unique<ScriptedLink>(plain_device);
        link = made.get();
        auto opened = Session::open(std::move(made));
        REQUIRE(opened.has_value());
        session = std::move(*opened);
        REQUIRE(
            session->subscribe(true, true, [this](const TimedEvent& e) { heard.push_back(e); }).has_value());
    }
    void hear(const link::Message& message) {
        link->answers().push_back(message);
        while (!link->answers().empty()) REQUIRE(session->listen(1).has_value());
    }
};

}  // namespace

TEST_CASE(
    "telemetry: gaps in the sequence are counted, the first batch after subscribe and the wrap included") {
    Scripted s;
    s.hear(batch(7, 102, 1000));
    CHECK(s.session->telemetry().batches_lost == 2);
    s.hear(batch(7, 103, 2000));
    CHECK(s.session->telemetry().batches_lost == 2);
    s.hear(batch(7, 0xFFFE, 3000));
    const auto before = s.session->telemetry().batches_lost;
    s.hear(batch(7, 1, 4000));  // 0xFFFF and 0 are missing
    CHECK(s.session->telemetry().batches_lost == before + 2);
    CHECK(s.session->telemetry().batches == 4);
    CHECK(s.heard.size() == 4);
}

TEST_CASE("telemetry: a batch that comes twice or late is counted and not handed on") {
    Scripted s;
    s.hear(batch(7, 100, 1000));
    s.hear(batch(7, 100, 1000));
    s.hear(batch(7, 103, 4000));
    s.hear(batch(7, 102, 3000));
    CHECK(s.heard.size() == 2);
    CHECK(s.session->telemetry().repeated == 2);
    CHECK(s.session->telemetry().batches_lost == 2);
}

TEST_CASE("telemetry: after 40,000 lost batches what comes is not taken for late ones") {
    Scripted s;
    s.hear(batch(7, 100, 1000));
    s.hear(batch(7, 40101, 5000));
    s.hear(batch(7, 40102, 6000));
    CHECK(s.heard.size() == 3);
    CHECK(s.session->telemetry().batches_lost == 40000);
    CHECK(s.session->telemetry().repeated == 0);
}

TEST_CASE("telemetry: another boot id is a start; its time goes on from where the one before ended") {
    Scripted s;
    s.hear(batch(7, 100, 5000000));
    s.hear(batch(7, 101, 6000000));
    s.hear(batch(8, 0, 300));
    s.hear(batch(8, 1, 1000300));
    CHECK(s.session->telemetry().boots == 1);
    CHECK(s.session->telemetry().batches_lost == 0);
    REQUIRE(s.heard.size() == 4);
    CHECK(s.heard[0].at_us == 0);
    CHECK(s.heard[1].at_us == 1000000);
    CHECK(s.heard[2].at_us == 1000000);
    CHECK(s.heard[3].at_us == 2000000);
}

TEST_CASE("telemetry: a stamp 300 us before its predecessor stays before it") {
    Scripted s;
    s.hear(batch(7, 100, 5000000));
    s.hear(batch(7, 101, 4999700));
    CHECK(s.heard[1].at_us == -300);
}

TEST_CASE("telemetry: 3 hours of silence are 3 hours, though the device's clock wrapped twice") {
    Scripted s;
    s.hear(batch(7, 100, 1000));
    const std::uint64_t hours_us = 3ull * 3600 * 1000000;
    s.link->pass_ms(hours_us / 1000);
    s.hear(batch(7, 101, static_cast<std::uint32_t>(1000 + hours_us)));
    CHECK(s.heard[1].at_us == static_cast<std::int64_t>(hours_us));
}

TEST_CASE(
    "telemetry: too short, an unknown kind, half an event are counted as garbled; the next one is heard") {
    Scripted s;
    auto short_one = batch(7, 100, 1000);
    short_one.resize(6);
    s.hear(short_one);
    CHECK(s.session->telemetry().garbled == 1);
    auto unknown = batch(7, 100, 1000);
    unknown[12] = 0xC8;
    s.hear(unknown);
    CHECK(s.session->telemetry().garbled == 2);
    auto half = batch(7, 101, 1000);
    half.pop_back();
    s.hear(half);
    CHECK(s.session->telemetry().garbled == 3);
    s.hear(batch(7, 102, 2000));
    CHECK(s.heard.size() == 1);
    CHECK(s.session->telemetry().batches_lost == 0);
    s.hear(link::Message(300, static_cast<std::uint8_t>(MessageType::telemetry)));
    s.hear({});
    CHECK(s.heard.size() == 1);
}

TEST_CASE("telemetry: events that the device lost are added up") {
    Scripted s;
    auto lost = batch(7, 100, 1000);
    lost[12] = static_cast<std::uint8_t>(EventKind::lost);
    engine::put16(lost.data() + 13, 700);
    s.hear(lost);
    CHECK(s.session->telemetry().events_lost == 700);
}
