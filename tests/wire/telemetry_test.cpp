#include "core/wire/telemetry.hpp"

#include <doctest/doctest.h>

#include <random>

#include "core/engine/report.hpp"
#include "tests/wire/support/rig.hpp"

using namespace fettle;
using namespace fettle::wire;
using namespace fettle::test;
using engine::Event;
using engine::EventKind;

namespace {

Event event_at(uint32_t at_us, EventKind kind, std::vector<uint8_t> data = {}) {
    Event event = {at_us, kind, {}};
    for (size_t i = 0; i < data.size(); ++i) event.data[i] = data[i];
    return event;
}

struct Stream {
    explicit Stream(uint8_t flags, uint32_t now_us = 0) {
        telemetry.reset(0x1234);
        telemetry.subscribe(Channel::hid, flags, now_us);
        telemetry.wants_snapshot(now_us);
    }
    void put(const Event& event, bool boot = false) { telemetry.put(event, boot); }
    std::vector<Bytes> take(uint32_t now_us) {
        std::vector<Bytes> batches;
        uint8_t raw[k_message_max];
        while (const uint8_t size = telemetry.take(Channel::hid, raw, now_us))
            batches.emplace_back(raw, raw + size);
        return batches;
    }
    Telemetry telemetry;
};

}  // namespace

TEST_CASE("telemetry: a batch is head, boot id, sequence, stamp and events with deltas in 4 us") {
    Stream stream(k_subscribe_usages, 1000);
    stream.put(event_at(2000, EventKind::press, {3, 0}));
    stream.put(event_at(2040, EventKind::level, {3, 1}));
    CHECK(stream.take(9999).empty());  // 8 ms are not over
    const auto batches = stream.take(10000);
    REQUIRE(batches.size() == 1);
    CHECK(batches[0] == Bytes{0x40, 0, 0x34, 0x12, 0, 0, 0xD0, 7, 0, 0,  // 2000 us
                              0,    0, 6,    3,    0,                    //
                              10,   0, 5,    3,    1});
}

TEST_CASE("telemetry: stamps come back within 4 us, without drift, over 10,000 edges of odd distances") {
    std::mt19937 random(3);
    Stream stream(k_subscribe_usages | k_subscribe_edges);
    uint32_t at_us = 0xFFFF0000;  // through the wrap of the clock
    stream.telemetry.reset(1);
    stream.telemetry.subscribe(Channel::hid, 3, at_us);
    stream.telemetry.wants_snapshot(at_us);
    uint16_t sequence = 0;
    std::vector<uint32_t> sent;
    std::vector<Event> got;
    for (int i = 0; i < 10000; ++i) {
        at_us += i % 100 == 0 ? 400000u + static_cast<uint32_t>(random() % 1000)
                              : static_cast<uint32_t>(random() % 3000);
        sent.push_back(at_us);
        stream.put(event_at(at_us, EventKind::edge, {1, static_cast<uint8_t>(i & 1)}));
        for (const auto& batch : stream.take(i == 9999 ? at_us + 8000 : at_us)) {
            TelemetryReader reader(batch.data() + 2, static_cast<uint8_t>(batch.size() - 2));
            REQUIRE(reader.sequence() == sequence++);
            Event event;
            uint32_t first_us = 0;
            bool is_first = true;
            while (reader.next(event)) {
                if (is_first) first_us = event.at_us;
                is_first = false;
                REQUIRE(event.at_us - first_us <= k_batch_span_us);
                got.push_back(event);
            }
        }
    }
    REQUIRE(got.size() == sent.size());
    for (size_t i = 0; i < got.size(); ++i) {
        CAPTURE(i);
        REQUIRE(sent[i] - got[i].at_us < 4u);
        REQUIRE(got[i].data[1] == (i & 1));
    }
    CHECK(stream.telemetry.lost() == 0);
}

TEST_CASE("telemetry: every kind of event comes back as it went, in every message of at most 62 bytes") {
    for (int kind = 1; kind <= 24; ++kind) {
        Stream stream(k_subscribe_usages | k_subscribe_edges);
        std::vector<uint8_t> data(engine::event_size(static_cast<EventKind>(kind)));
        for (size_t i = 0; i < data.size(); ++i) data[i] = static_cast<uint8_t>(17 * (i + 1));
        std::vector<Event> got;
        for (uint32_t i = 0; i < 9; ++i) stream.put(event_at(i * 100, static_cast<EventKind>(kind), data));
        const auto batches = stream.take(100000);
        for (const auto& batch : batches) CHECK(batch.size() <= k_message_max);
        got = events_of(batches);
        CAPTURE(kind);
        REQUIRE(got.size() == 9);
        for (const auto& event : got) {
            CHECK(event.kind == static_cast<EventKind>(kind));
            CHECK(memcmp(event.data, data.data(), data.size()) == 0);
        }
    }
}

TEST_CASE("telemetry: what does not fit is counted; then come lost with the number, and a snapshot is due") {
    Stream stream(k_subscribe_usages);
    for (uint32_t i = 0; i < 100; ++i) stream.put(event_at(1000 + i, EventKind::level, {1, 1}));
    const size_t kept = k_telemetry_ring_bytes / 5;
    CHECK(stream.telemetry.lost() == 100 - kept);
    CHECK_FALSE(stream.telemetry.wants_snapshot(2000));  // no room yet
    auto batches = stream.take(9500);
    CHECK(events_of(batches).size() == kept);
    stream.put(event_at(9500, EventKind::level, {2, 1}));  // still in the gap
    REQUIRE(stream.telemetry.wants_snapshot(9600));
    stream.put(event_at(9600, EventKind::snapshot));
    stream.put(event_at(9700, EventKind::level, {3, 1}));
    batches = stream.take(20000);
    const auto events = events_of(batches);
    REQUIRE(events.size() == 3);
    CHECK(events[0].kind == EventKind::lost);
    CHECK(events[0].data[0] == 100 - kept + 1);
    CHECK(events[1].kind == EventKind::snapshot);
    CHECK(events[2].data[0] == 3);
}

TEST_CASE("telemetry: a lost event begins its batch, whatever waits before it") {
    Stream stream(k_subscribe_usages);
    for (uint32_t i = 0; i < 40; ++i) stream.put(event_at(1000, EventKind::level, {1, 1}));
    uint8_t raw[k_message_max];
    stream.telemetry.take(Channel::hid, raw, 2000);
    stream.telemetry.take(Channel::hid, raw, 2000);
    REQUIRE(stream.telemetry.wants_snapshot(2000));
    stream.put(event_at(2000, EventKind::snapshot));
    const auto batches = stream.take(20000);
    REQUIRE(batches.size() == 2);
    CHECK(events_of({batches[0]}).back().kind == EventKind::level);
    CHECK(events_of({batches[1]}).front().kind == EventKind::lost);
}

TEST_CASE("telemetry: without consent six usages become FF each, their number and the modifiers stay") {
    const std::vector<uint8_t> report = {0, 8, 0x02, 0, 0x04, 0x05, 0, 0, 0x1E, 0};
    Stream open(k_subscribe_usages), covered(0);
    for (Stream* stream : {&open, &covered}) stream->put(event_at(100, EventKind::report, report));
    const auto plain = events_of(open.take(10000));
    const auto hidden = events_of(covered.take(10000));
    CHECK(Bytes(plain[0].data, plain[0].data + 10) == report);
    CHECK(Bytes(hidden[0].data, hidden[0].data + 10) == Bytes{0, 8, 0x02, 0, 0xFF, 0xFF, 0, 0, 0xFF, 0});
}

TEST_CASE("telemetry: without consent a consumer usage, a text's number and the grid's place are covered") {
    Stream stream(0);
    stream.put(event_at(100, EventKind::report, {1, 3, 2, 0xE9, 0}));
    stream.put(event_at(100, EventKind::report, {1, 3, 2, 0, 0}));
    stream.put(event_at(100, EventKind::text, {5, 1}));
    stream.put(event_at(100, EventKind::grid, {1, 2}));
    stream.put(event_at(100, EventKind::report, {1, 8, 1, 1, 5, 0, 6, 0, 7, 8}));
    const auto events = events_of(stream.take(10000));
    REQUIRE(events.size() == 5);
    CHECK(Bytes(events[0].data, events[0].data + 5) == Bytes{1, 3, 2, 0xFF, 0xFF});
    CHECK(Bytes(events[1].data, events[1].data + 5) == Bytes{1, 3, 2, 0, 0});
    CHECK(Bytes(events[2].data, events[2].data + 2) == Bytes{0xFF, 1});
    CHECK(Bytes(events[3].data, events[3].data + 2) == Bytes{0xFF, 0xFF});
    CHECK(Bytes(events[4].data, events[4].data + 10) == Bytes{1, 8, 1, 1, 5, 0, 6, 0, 7, 8});
}

TEST_CASE("telemetry: a boot mouse report with button 2 is no consumer report and stays") {
    Stream stream(0);
    stream.put(event_at(100, EventKind::report, {1, 3, 2, 5, 0xFB}), true);
    const auto events = events_of(stream.take(10000));
    CHECK(Bytes(events[0].data, events[0].data + 5) == Bytes{1, 3, 2, 5, 0xFB});
}

TEST_CASE("telemetry: raw edges only where they were asked for") {
    Stream without(k_subscribe_usages), with(k_subscribe_edges);
    for (Stream* stream : {&without, &with}) stream->put(event_at(100, EventKind::edge, {0, 1}));
    CHECK(without.take(10000).empty());
    CHECK(events_of(with.take(10000)).size() == 1);
}

TEST_CASE("telemetry: after 1 s of silence a snapshot is due, and not before") {
    Stream stream(0);
    stream.put(event_at(0, EventKind::level, {1, 1}));
    stream.telemetry.wants_snapshot(0);
    CHECK(stream.take(8000).size() == 1);
    CHECK_FALSE(stream.telemetry.wants_snapshot(1007999));
    CHECK(stream.telemetry.wants_snapshot(1008000));
    CHECK_FALSE(stream.telemetry.wants_snapshot(1008001));
}

TEST_CASE(
    "telemetry: the reader stops for good at every cut and at every unknown kind, and reads nothing past the "
    "end") {
    Stream stream(k_subscribe_usages);
    stream.put(event_at(100, EventKind::report, {0, 8, 1, 2, 3, 4, 5, 6, 7, 8}));
    stream.put(event_at(300000, EventKind::held, {1, 2, 3, 4, 5}));  // a long delta, in a batch of its own
    stream.put(event_at(300100, EventKind::level, {1, 1}));
    for (const auto& batch : stream.take(400000)) {
        const size_t events = events_of({batch}).size();
        for (size_t size = 0; size + 2 <= batch.size(); ++size) {
            const Bytes body(batch.begin() + 2, batch.begin() + 2 + static_cast<long>(size));
            TelemetryReader reader(body.data(), static_cast<uint8_t>(size));
            Event event;
            size_t got = 0;
            while (reader.next(event)) ++got;
            CHECK(reader.is_valid() == (size >= k_telemetry_head));
            CHECK(got <= events);
            CHECK_FALSE(reader.next(event));
        }
        Bytes wrong = batch;
        wrong[2 + k_telemetry_head + 2] = 200;
        TelemetryReader reader(wrong.data() + 2, static_cast<uint8_t>(wrong.size() - 2));
        Event event;
        CHECK_FALSE(reader.next(event));
        CHECK(reader.garbled());
    }
}

TEST_CASE("telemetry: a subscription begins with a full snapshot and shows a press from edge to report") {
    Rig rig;
    rig.install(plain_image(1));
    const auto answer = rig.ask({0x0D, 9, k_subscribe_usages | k_subscribe_edges});
    REQUIRE(answer.has_value());
    CHECK(*answer == Bytes{0x8D, 9, 0x34, 0x12, 0, 0});
    rig.tick(1);
    rig.press(1);
    rig.tick(20);
    rig.drain(Channel::hid);
    const auto events = events_of(rig.telemetry);
    REQUIRE(events.size() > 6);
    CHECK(events[0].kind == EventKind::snapshot);
    CHECK(events[1].kind == EventKind::held);
    for (const EventKind kind : {EventKind::edge, EventKind::level, EventKind::press, EventKind::gesture,
                                 EventKind::action, EventKind::report, EventKind::taken}) {
        bool seen = false;
        for (const auto& event : events) seen = seen || event.kind == kind;
        CAPTURE(int(kind));
        CHECK(seen);
    }
    CHECK(rig.ends_released());
}

TEST_CASE("telemetry: during a trial the snapshot says so and is followed by the trial") {
    Rig rig;
    rig.push(plain_image(1));
    rig.ask({0x0D, 9, 0});
    rig.tick(20);
    rig.drain(Channel::hid);
    const auto events = events_of(rig.telemetry);
    REQUIRE(events.size() >= 4);
    CHECK((events[0].data[5] & 1) == 1);
    bool told = false;
    for (const auto& event : events) told = told || (event.kind == EventKind::trial && event.data[0] == 1);
    CHECK(told);
    CHECK(rig.ends_released());
}

TEST_CASE("telemetry: the newest subscriber has the stream; the other channel hears nothing more") {
    Rig rig;
    rig.device.serial_dtr(true);
    rig.ask({0x0D, 1, 0});
    rig.tick(2000);
    rig.ask({0x0D, 2, 0}, Channel::serial);
    rig.telemetry.clear();
    rig.drain(Channel::hid);
    rig.tick(3000);
    rig.drain(Channel::hid);
    CHECK(rig.telemetry.empty());
    rig.drain(Channel::serial);
    CHECK_FALSE(rig.telemetry.empty());
    // Only its own subscriber can end it.
    rig.ask({0x0E, 3});
    rig.telemetry.clear();
    rig.tick(3000);
    rig.drain(Channel::serial);
    CHECK_FALSE(rig.telemetry.empty());
    rig.ask({0x0E, 4}, Channel::serial);
    rig.telemetry.clear();
    rig.tick(3000);
    rig.drain(Channel::serial);
    CHECK(rig.telemetry.empty());
    CHECK(rig.ends_released());
}

TEST_CASE(
    "telemetry: a host that does not read for a minute gets lost and a snapshot, and sequence numbers have "
    "no gap") {
    Rig rig;
    rig.install(plain_image(1));
    rig.ask({0x0D, 1, k_subscribe_usages});
    for (int i = 0; i < 600; ++i) rig.press(1, 50);
    for (int i = 0; i < 50; ++i) {
        rig.tick(20);
        rig.drain(Channel::hid);
    }
    uint16_t sequence = 0;
    for (const auto& batch : rig.telemetry) {
        TelemetryReader reader(batch.data() + 2, static_cast<uint8_t>(batch.size() - 2));
        REQUIRE(reader.sequence() == sequence++);
    }
    const auto events = events_of(rig.telemetry);
    size_t lost = 0;
    for (size_t i = 0; i < events.size(); ++i)
        if (events[i].kind == EventKind::lost) {
            lost += static_cast<size_t>(events[i].data[0] + 256 * events[i].data[1]);
            REQUIRE(i + 1 < events.size());
            CHECK(events[i + 1].kind == EventKind::snapshot);
        }
    CHECK(lost == rig.device.info().telemetry_lost);
    CHECK(lost > 1000);
    CHECK(rig.ends_released());
}
