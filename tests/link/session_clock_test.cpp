// Pings map the device's clock on the link's, and events of telemetry with it.

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include <cmath>

#include "tests/link/faulty_link.hpp"
#include "tests/link/scripted_link.hpp"
#include "tests/sim/rig.hpp"

using namespace fettle;
using namespace fettle::test;
using link::Session;
using link::TimedEvent;
using wire::MessageType;

namespace {

/// A device that only pings and subscribes, with a clock of its own beside the link's.
struct Clocked {
    std::uint32_t ahead_us = 0;  ///< of the link's clock
    std::uint16_t boot_id = 7;
    std::uint16_t sequence = 0;
    ScriptedLink* link = nullptr;
    std::unique_ptr<Session> session;
    std::vector<TimedEvent> heard;

    Clocked() {
        auto made = std::make_unique<ScriptedLink>([this](const link::Message& m, auto& answers) {
            std::uint8_t raw[wire::k_message_max];
            std::uint8_t size = 0;
            if (m[0] == static_cast<std::uint8_t>(MessageType::hello))
                return answers.push_back(hello_reply(m[1]));
            if (m[0] == static_cast<std::uint8_t>(MessageType::subscribe))
                size = wire::put_subscribe(raw, m[1], {boot_id, sequence});
            if (m[0] == static_cast<std::uint8_t>(MessageType::ping))
                size = wire::put_ping(raw, m[1], {engine::get32(m.data() + 2), device_us(), device_us()});
            if (size != 0) answers.emplace_back(raw, raw + size);
        });
        link = made.get();
        auto opened = Session::open(std::move(made));
        REQUIRE(opened.has_value());
        session = std::move(*opened);
        REQUIRE(
            session->subscribe(true, true, [this](const TimedEvent& e) { heard.push_back(e); }).has_value());
    }
    std::uint32_t device_us() const { return static_cast<std::uint32_t>(link->now_us() + ahead_us); }
    /// One event, now.
    void tell() {
        link::Message m(wire::k_message_head + wire::k_telemetry_head);
        m[0] = static_cast<std::uint8_t>(MessageType::telemetry);
        engine::put16(m.data() + 2, boot_id);
        engine::put16(m.data() + 4, sequence++);
        engine::put32(m.data() + 6, device_us());
        for (const int byte : {0, 0, static_cast<int>(engine::EventKind::mode), 0, 0})
            m.push_back(static_cast<std::uint8_t>(byte));
        link->answers().push_back(m);
        REQUIRE(session->listen(1).has_value());
    }
    /// How far an event's time on the link's clock is from `truth_us`; huge where there is none.
    double off_us(const TimedEvent& event, std::uint64_t truth_us) const {
        const auto at = session->host_us(event);
        return at ? std::abs(static_cast<double>(*at) - static_cast<double>(truth_us)) : 1e12;
    }
};

}  // namespace

TEST_CASE(
    "session clock: before a ping no event has a time of the host; after one, those before it have, too") {
    Clocked c;
    c.ahead_us = 123456;
    const auto at_us = c.link->now_us();
    c.tell();
    CHECK_FALSE(c.session->host_us(c.heard[0]).has_value());
    CHECK_FALSE(c.session->clock().figures().has_value());
    REQUIRE(c.session->ping().has_value());
    const auto figures = c.session->clock().figures().value();
    CHECK(c.off_us(c.heard[0], at_us) <= figures.error_us + 10);
    CHECK(std::abs(static_cast<double>(figures.offset_us + 123456)) <= figures.error_us + 1);
    CHECK(figures.error_us <= 510);  // a message takes 1 ms on this link
}

TEST_CASE(
    "session clock: 5 hours with a ping and an event every 10 s: each event to a ms, past 4 wraps of 71.6 "
    "minutes") {
    Clocked c;
    c.ahead_us = 0xFFFF0000;  // the first wrap is near
    std::vector<std::uint64_t> truth;
    for (int i = 0; i < 1800; ++i) {
        truth.push_back(c.link->now_us());
        c.tell();
        REQUIRE(c.session->ping().has_value());
        c.link->pass_ms(10000);
    }
    REQUIRE(c.heard.size() == truth.size());
    double worst_us = 0;
    for (std::size_t i = 0; i < truth.size(); ++i)
        worst_us = std::max(worst_us, c.off_us(c.heard[i], truth[i]));
    CHECK(worst_us <= 1000);
    CHECK(c.session->clock().figures()->samples > 30);
    CHECK(std::abs(c.session->clock().figures()->drift_ppm) <= 5);
}

TEST_CASE("session clock: 3 hours without a ping or an event are bridged by the link's clock") {
    Clocked c;
    c.tell();
    REQUIRE(c.session->ping().has_value());
    c.link->pass_ms(3 * 3600 * 1000);
    const auto first_us = c.link->now_us();
    c.tell();
    CHECK(c.off_us(c.heard[1], first_us) <= 1000 + 3 * 3600 * 3000.0);
    REQUIRE(c.session->ping().has_value());
    CHECK(c.off_us(c.heard[1], first_us) <= 1000);
    c.link->pass_ms(2 * 3600 * 1000);
    REQUIRE(c.session->ping().has_value());  // no telemetry for two hours
    CHECK(c.off_us(c.heard[1], first_us) <= 1000 + 1000);
}

TEST_CASE("session clock: another start has another clock: begun anew, and earlier events have no time") {
    Clocked c;
    c.tell();
    for (int i = 0; i < 5; ++i) REQUIRE(c.session->ping().has_value());
    CHECK(c.session->clock().figures()->samples == 5);
    c.boot_id = 8;
    c.sequence = 0;
    c.ahead_us = 2'000'000'000;
    const auto at_us = c.link->now_us();
    c.tell();
    CHECK_FALSE(c.session->clock().figures().has_value());
    REQUIRE(c.session->ping().has_value());
    CHECK(c.session->clock().figures()->samples == 1);
    CHECK(c.off_us(c.heard[1], at_us) <= 1000);
    CHECK_FALSE(c.session->host_us(c.heard[0]).has_value());
}

TEST_CASE("session clock: a clock that jumps without a start is begun anew with the next ping") {
    Clocked c;
    for (int i = 0; i < 5; ++i) REQUIRE(c.session->ping().has_value());
    c.ahead_us = 2'000'000'000;
    REQUIRE(c.session->ping().has_value());
    CHECK(c.session->clock().figures()->samples == 1);
}

TEST_CASE("session clock: a device that starts anew and says so in hello: begun anew") {
    std::uint16_t boot_id = 7;
    auto made = std::make_unique<ScriptedLink>([&](const link::Message& m, auto& answers) {
        std::uint8_t raw[wire::k_message_max];
        if (m[0] == static_cast<std::uint8_t>(MessageType::ping)) {
            const auto size = wire::put_ping(raw, m[1], {engine::get32(m.data() + 2), 5, 6});
            return void(answers.emplace_back(raw, raw + size));
        }
        wire::HelloReply hello{};
        hello.contract_version = hello.slots = 1;
        hello.slot_bytes = 480;
        hello.boot_id = boot_id;
        answers.emplace_back(raw, raw + wire::put_hello(raw, m[1], hello));
    });
    auto session = Session::open(std::move(made));
    REQUIRE(session.has_value());
    REQUIRE((*session)->ping().has_value());
    REQUIRE((*session)->greet().has_value());
    CHECK((*session)->clock().figures().has_value());
    boot_id = 8;
    REQUIRE((*session)->greet().has_value());
    CHECK_FALSE((*session)->clock().figures().has_value());
}

TEST_CASE(
    "session clock: with the simulated device, whose clock is the link's: offset 0 within an error of 1.6 "
    "ms") {
    for (const Way way : {Way::hid, Way::serial}) {
        auto device = kept_device();
        auto session = open_session(device, way);
        std::vector<std::pair<TimedEvent, std::uint64_t>> edges;
        REQUIRE(session
                    ->subscribe(false, true,
                                [&](const TimedEvent& e) {
                                    if (e.event.kind == engine::EventKind::edge) edges.emplace_back(e, 0);
                                })
                    .has_value());
        std::vector<std::uint64_t> pressed_us;
        for (int second = 0; second < 100; ++second) {
            pressed_us.push_back(device->now_us() + 5000);
            device->hands().close_switch(7, pressed_us.back());
            REQUIRE(session->listen(500).has_value());
            pressed_us.push_back(device->now_us() + 5000);
            device->hands().open_switch(7, pressed_us.back());
            REQUIRE(session->listen(500).has_value());
            REQUIRE(session->ping().has_value());
            const auto f = session->clock().figures().value();
            CHECK(f.error_us <= 1600);
            CHECK(std::abs(static_cast<double>(f.offset_us)) <= f.error_us);
        }
        REQUIRE(edges.size() == pressed_us.size());
        const auto f = session->clock().figures().value();
        CHECK(f.is_drift_known);
        CHECK(std::abs(f.drift_ppm) <= f.drift_error_ppm);
        for (std::size_t i = 0; i < edges.size(); ++i) {
            const auto at = session->host_us(edges[i].first);
            REQUIRE(at.has_value());
            CHECK(std::abs(static_cast<double>(*at) - static_cast<double>(pressed_us[i])) <=
                  f.error_us + 100 * f.drift_error_ppm + 4);  // telemetry's own step is 4 us
        }
        check_ends_released(*device);
    }
}

TEST_CASE("session clock: a ping asked twice still bounds the offset: its time counts from the first try") {
    auto device = kept_device();
    auto session = Session::open(std::make_unique<FaultyLink>(
        std::make_unique<link::MemoryLink>(device, Way::hid), Plan{Harm::drop, 4, false}));
    REQUIRE(session.has_value());
    REQUIRE((*session)->ping().has_value());
    const auto f = (*session)->clock().figures().value();
    CHECK(f.error_us >= 250000);
    CHECK(std::abs(static_cast<double>(f.offset_us)) <= f.error_us);
}

TEST_CASE("session clock: whatever times a device claims, pings answer and figures stay finite") {
    CHECK(rc::check([](const std::vector<std::pair<std::uint32_t, std::uint32_t>>& times) {
        std::size_t next = 0;
        auto made = std::make_unique<ScriptedLink>([&](const link::Message& m, auto& answers) {
            std::uint8_t raw[wire::k_message_max];
            if (m[0] == static_cast<std::uint8_t>(MessageType::hello))
                return answers.push_back(hello_reply(m[1]));
            const auto [received, sent] = times[next++];
            const auto size = wire::put_ping(raw, m[1], {engine::get32(m.data() + 2), received, sent});
            answers.emplace_back(raw, raw + size);
        });
        auto session = Session::open(std::move(made));
        RC_ASSERT(session.has_value());
        for (std::size_t i = 0; i < times.size(); ++i) {
            RC_ASSERT((*session)->ping().has_value());
            const auto f = (*session)->clock().figures();
            RC_ASSERT(!f || (std::isfinite(f->error_us) && std::isfinite(f->drift_ppm)));
        }
    }));
}
