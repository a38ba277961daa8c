#include <doctest/doctest.h>

#include "tests/sim/rig.hpp"

using namespace fettle;
using namespace fettle::test;
using sim::SimDevice;
using wire::MessageType;

namespace {

std::vector<std::uint8_t> serial_frame(MessageType type, std::uint8_t id) {
    std::uint8_t message[wire::k_message_max];
    std::uint8_t size = wire::put_request(message, type, id);
    if (type == MessageType::hello) size = wire::put_hello_request(message, id, 1);
    std::uint8_t frame[wire::k_serial_frame_max];
    return {frame, frame + wire::pack_serial(message, size, frame)};
}

std::vector<std::uint8_t> ids_in(const std::vector<std::uint8_t>& bytes) {
    wire::Unframer unframer{};
    unframer.reset();
    std::vector<std::uint8_t> ids;
    for (const auto byte : bytes)
        if (unframer.take(byte)) ids.push_back(unframer.message()[1]);
    return ids;
}

std::array<std::uint8_t, wire::k_hid_report_bytes> hid_report(MessageType type, std::uint8_t id,
                                                              std::uint8_t flags = 0) {
    std::uint8_t message[wire::k_message_max];
    const auto size = type == MessageType::subscribe ? wire::put_byte_request(message, type, id, flags)
                                                     : wire::put_request(message, type, id);
    std::array<std::uint8_t, wire::k_hid_report_bytes> report;
    REQUIRE(wire::pack_report(message, size, report.data()));
    return report;
}

}  // namespace

TEST_CASE("raw HID: 10 requests sent at once are all answered, in order") {
    auto device = kept_device();
    for (std::uint8_t id = 1; id <= 10; ++id) device->hid_out(hid_report(MessageType::info, id));
    device->advance_ms(50);
    std::vector<std::uint8_t> report;
    for (std::uint8_t id = 1; id <= 10; ++id) {
        REQUIRE(device->hid_in(report));
        CHECK(report[0] == wire::k_hid_report_id);
        CHECK(report[3] == id);
    }
    CHECK_FALSE(device->hid_in(report));
    CHECK(device->device().info().frames_bad == 0);
}

TEST_CASE("raw HID: an endpoint that holds 1 report drops none of 10 answers, fetched one each 20 ms") {
    auto device = kept_device();
    device->hold_reports(true);
    for (std::uint8_t id = 1; id <= 10; ++id) device->hid_out(hid_report(MessageType::info, id));
    std::vector<std::uint8_t> report;
    for (std::uint8_t id = 1; id <= 10; ++id) {
        device->advance_ms(20);
        REQUIRE(device->hid_in(report));
        CHECK(report[3] == id);
        CHECK_FALSE(device->hid_in(report));
    }
    CHECK(device->hid_dropped() == 0);
}

TEST_CASE("raw HID: 3 requests exchanged without a tick are answered without one, one after the other") {
    auto device = kept_device();
    const auto before_us = device->now_us();
    for (std::uint8_t id = 1; id <= 3; ++id) device->hid_out(hid_report(MessageType::info, id));
    std::vector<std::uint8_t> report;
    CHECK_FALSE(device->hid_in(report));
    for (std::uint8_t id = 1; id <= 3; ++id) {
        device->exchange();
        REQUIRE(device->hid_in(report));
        CHECK(report[3] == id);
    }
    CHECK(device->now_us() == before_us);
    device->pull_cable();
    device->exchange();
    CHECK_FALSE(device->hid_in(report));
}

TEST_CASE("raw HID: reports of a wrong id, no length or 0 bytes are counted, and nothing is answered") {
    auto device = kept_device();
    const std::uint8_t wrong_id[64] = {9, 2, 3, 1};
    const std::uint8_t too_long[64] = {1, 63, 3, 1};
    device->hid_out(wrong_id);
    device->hid_out(too_long);
    device->hid_out({});
    device->advance_ms(50);
    std::vector<std::uint8_t> report;
    CHECK_FALSE(device->hid_in(report));
    CHECK(device->device().info().frames_bad == 3);
}

// Source: Linux 6.1, drivers/hid/hidraw.c: a ring of 64 of which 63 are used.
TEST_CASE("raw HID: of what nobody reads the first 63 reports are kept, the others counted as dropped") {
    auto device = kept_device();
    device->hid_out(hid_report(MessageType::subscribe, 1));
    for (unsigned i = 0; i < 300; ++i)
        device->hands().press_switch(1, device->now_us() + 1000 + 200000u * i, 100);
    device->advance_ms(60000);
    CHECK(device->hid_dropped() > 100);
    std::vector<std::uint8_t> report;
    int kept = 0;
    while (device->hid_in(report)) ++kept;
    CHECK(kept == 63);
    check_ends_released(*device);
}

TEST_CASE("raw HID: a sleeping bus carries nothing; awake it carries what waited") {
    auto device = kept_device();
    device->set_suspended(true);
    device->hid_out(hid_report(MessageType::info, 5));
    device->advance_ms(100);
    std::vector<std::uint8_t> report;
    CHECK_FALSE(device->hid_in(report));
    device->set_suspended(false);
    device->advance_ms(10);
    REQUIRE(device->hid_in(report));
    CHECK(report[3] == 5);
}

TEST_CASE("serial: bytes before DTR are ignored, after it the same bytes are answered") {
    auto device = kept_device();
    const auto hello = serial_frame(MessageType::hello, 7);
    device->serial_out(hello);
    device->advance_ms(50);
    CHECK(device->serial_in().empty());
    CHECK(device->device().info().frames_in == 0);
    device->set_dtr(true);
    device->serial_out(hello);
    device->advance_ms(50);
    CHECK(ids_in(device->serial_in()) == std::vector<std::uint8_t>{7});
}

TEST_CASE("serial: with DTR the device is silent until a whole frame came") {
    auto device = kept_device();
    device->set_dtr(true);
    const auto hello = serial_frame(MessageType::hello, 7);
    device->serial_out(std::span(hello).first(hello.size() - 1));
    device->advance_ms(3000);
    CHECK(device->serial_in().empty());
    device->serial_out(std::span(hello).last(1));
    device->advance_ms(10);
    CHECK(ids_in(device->serial_in()) == std::vector<std::uint8_t>{7});
}

TEST_CASE("serial: 3 requests in one write are all answered") {
    auto device = kept_device();
    device->set_dtr(true);
    std::vector<std::uint8_t> bytes;
    for (std::uint8_t id = 1; id <= 3; ++id)
        for (const auto byte : serial_frame(MessageType::hello, id)) bytes.push_back(byte);
    device->serial_out(bytes);
    device->advance_ms(50);
    CHECK(ids_in(device->serial_in()) == std::vector<std::uint8_t>{1, 2, 3});
    CHECK(device->device().info().frames_bad == 0);
}

TEST_CASE("serial: DTR falling ends the subscription, and its rising does not bring it back") {
    auto device = kept_device();
    auto session = open_session(device, Way::serial);
    int events = 0;
    REQUIRE(session->subscribe(false, false, [&](const link::TimedEvent&) { ++events; }).has_value());
    REQUIRE(session->listen(2500).has_value());
    CHECK(events > 0);
    device->set_dtr(false);
    device->set_dtr(true);
    device->serial_out(serial_frame(MessageType::hello, 9));
    device->advance_ms(5000);
    CHECK(ids_in(device->serial_in()) == std::vector<std::uint8_t>{9});
}

TEST_CASE("serial: 4,096 bytes wait unread, then the device waits and says what it lost") {
    auto device = kept_device();
    auto session = open_session(device, Way::serial);
    REQUIRE(session->subscribe(false, true, {}).has_value());
    for (unsigned i = 0; i < 600; ++i)
        device->hands().press_switch(1, device->now_us() + 1000 + 100000u * i, 50);
    device->advance_ms(61000);
    REQUIRE(session->listen(3000).has_value());
    CHECK(session->telemetry().events_lost > 0);
    CHECK(session->telemetry().batches_lost == 0);
    check_ends_released(*device);
}

TEST_CASE("cable: pulled, the link is closed for good; plugged again, a new one opens") {
    for (const Way way : {Way::hid, Way::serial}) {
        auto device = kept_device();
        auto session = open_session(device, way);
        device->pull_cable();
        CHECK(session->info().error().code == Errc::closed);
        device->plug_cable();
        device->advance_ms(300);
        CHECK(session->info().error().code == Errc::closed);
        session.reset();
        CHECK(open_session(device, way)->info().has_value());
        check_ends_released(*device);
    }
}

TEST_CASE("link: what came before it was opened is not seen") {
    auto device = kept_device();
    {
        auto session = open_session(device, Way::hid);
        REQUIRE(session->subscribe(false, false, {}).has_value());
    }
    device->advance_ms(5000);
    auto session = open_session(device, Way::hid);
    CHECK(session->telemetry().batches <= 1);
}
