// A device that misbehaves at its control endpoint and in its reports, over the real kernel and libraries.
// Whatever it does, the next request works, and the profile that was kept is still there.

#include <doctest/doctest.h>

#include <atomic>
#include <cstdio>

#include "core/link/framed_link.hpp"
#include "core/link/opening.hpp"
#include "core/link/ports.hpp"
#include "tests/rig_kernel/rig.hpp"

using namespace fettle;
using namespace fettle::rig;
using link::ChannelKind;
using link::Session;

namespace {

/// A lost answer is asked for again soon.
constexpr link::Limits k_quick{400, 1000, 3, 3000};
constexpr int k_always = -1;

/// The n-th request on the raw interface from now on (or each) meets its fate, the others are served.
UsbIpStream::Decider at_raw(int n, Fate fate) {
    return [n, fate, count = 0](const SetupPacket& setup, auto) mutable {
        if (!is_raw_request(setup)) return Fate::serve;
        return n == k_always || ++count == n ? fate : Fate::serve;
    };
}

using Change = std::function<std::vector<TimedPacket>(std::uint64_t now_us, Bytes report)>;
/// The next report is changed, what follows is left as it is.
UsbDevice::Bender once(Change change) {
    return [change = std::move(change), is_done = false](std::uint64_t now_us, const Bytes& report) mutable {
        if (is_done) return std::vector<TimedPacket>{{now_us, report}};
        is_done = true;
        return change(now_us, report);
    };
}

std::unique_ptr<Session> paired_session(Cable& cable, const link::Limits& limits = k_quick) {
    const auto attached = attached_at(cable.place());
    REQUIRE(attached.has_value());
    auto link = link::open_device(*attached, "", real_clock());
    REQUIRE(link.has_value());
    auto session = Session::open(std::move(*link), limits);
    REQUIRE(session.has_value());
    CHECK((*session)->link().channel() == ChannelKind::hid);
    return std::move(*session);
}

void check_well(Cable& cable, Session& session) {
    for (int i = 0; i < 5; ++i) CHECK(session.ping().has_value());
    const auto hello = session.greet();
    REQUIRE(hello.has_value());
    CHECK(hello->image_crc == test::kept_crc());
    cable.with([](sim::SimDevice& device) { CHECK_FALSE(device.host().view().holds_anything()); });
}

}  // namespace

TEST_CASE("stall: a refused request fails within a second and says so; the next one is answered") {
    Cable& cable = fresh_cable();
    auto session = hid_session(cable, k_quick);
    cable.decide_by(at_raw(1, Fate::stall));
    const auto began_ms = now_ms();
    const auto refused = session->ping();
    std::printf("figure: a stalled request was told after %lld ms\n",
                static_cast<long long>(now_ms() - began_ms));
    if (!refused) CHECK(refused.error().code == Errc::io);
    check_well(cable, *session);
}

TEST_CASE("stall: with a serial port beside it, a refused request is answered there and not lost") {
    Cable& cable = fresh_cable();
    auto session = paired_session(cable);
    cable.decide_by(at_raw(k_always, Fate::stall));
    CHECK(session->set_mode(1).has_value());
    CHECK(session->link().channel() == ChannelKind::serial);
    CHECK(session->link().changeovers() == 1);
    cable.with([](sim::SimDevice& device) { CHECK(device.device().engine().state().mode == 1); });
    CHECK(session->set_mode(0).has_value());
    check_well(cable, *session);
}

TEST_CASE("NAK for ever: a write that is never taken ends by the kernel's limit of 5 s; the next is taken") {
    Cable& cable = fresh_cable();
    auto port = link::open_hid_port(cable.nodes().raw, real_clock());
    REQUIRE(port.has_value());
    cable.decide_by(at_raw(1, Fate::never));
    std::uint8_t message[wire::k_message_max], report[wire::k_hid_report_bytes];
    const auto size = wire::put_ping_request(message, 1, 7);
    REQUIRE(wire::pack_report(message, size, report));
    const auto began_ms = now_ms();
    const auto written = (*port)->write(report);
    std::printf("figure: a write that is never taken blocks for %lld ms\n",
                static_cast<long long>(now_ms() - began_ms));
    REQUIRE_FALSE(written.has_value());
    CHECK(written.error().code == Errc::timed_out);
    REQUIRE((*port)->write(report).has_value());
    CHECK(*(*port)->read(report, 2000) == wire::k_hid_report_bytes);
}

TEST_CASE("NAK for ever: with a serial port beside it, the request is answered there") {
    Cable& cable = fresh_cable();
    auto session = paired_session(cable);
    cable.decide_by(at_raw(k_always, Fate::never));
    CHECK(session->set_mode(1).has_value());
    CHECK(session->link().channel() == ChannelKind::serial);
    CHECK(session->set_mode(0).has_value());
    check_well(cable, *session);
}

TEST_CASE("silence: no answer by HID at all is a change over to serial; without one it is timed out") {
    Cable& cable = fresh_cable();
    const auto nothing = [](std::uint64_t, const Bytes&) { return std::vector<TimedPacket>{}; };
    {
        auto session = paired_session(cable);
        cable.bend_by(nothing);
        CHECK(session->set_mode(1).has_value());
        CHECK(session->link().channel() == ChannelKind::serial);
        CHECK(session->set_mode(0).has_value());
        cable.bend_by({});
        check_well(cable, *session);
    }
    auto session = hid_session(cable, k_quick);
    cable.bend_by(nothing);
    CHECK(session->ping().error().code == Errc::timed_out);
    cable.bend_by({});
    check_well(cable, *session);
}

TEST_CASE("lost: a request that is acknowledged and never seen is asked again and answered") {
    Cable& cable = fresh_cable();
    auto session = hid_session(cable, k_quick);
    for (const int n : {1, 2}) {
        cable.decide_by(at_raw(n, Fate::lost));
        CHECK(session->set_mode(1).has_value());
        CHECK(session->set_mode(0).has_value());
    }
    check_well(cable, *session);
}

TEST_CASE("late: an answer after 700 ms, when it was asked again already, is taken for no other one") {
    Cable& cable = fresh_cable();
    auto session = hid_session(cable, k_quick);
    cable.bend_by(once([](std::uint64_t now_us, Bytes report) {
        return std::vector<TimedPacket>{{now_us + 700000, std::move(report)}};
    }));
    CHECK(session->set_mode(1).has_value());
    REQUIRE(session->listen(800).has_value());
    CHECK(session->set_mode(0).has_value());
    cable.with([](sim::SimDevice& device) { CHECK(device.device().engine().state().mode == 0); });
    check_well(cable, *session);
}

TEST_CASE("twice: 20 answers that each come twice confuse none of the 20 requests after them") {
    Cable& cable = fresh_cable();
    auto session = hid_session(cable, k_quick);
    cable.bend_by([](std::uint64_t now_us, const Bytes& report) {
        return std::vector<TimedPacket>{{now_us, report}, {now_us + 1000, report}};
    });
    std::uint32_t last_us = 0;
    for (int i = 0; i < 20; ++i) {
        const auto figures = session->ping();
        REQUIRE(figures.has_value());
        CHECK(figures->device_us > last_us);
        last_us = figures->device_us;
    }
    cable.bend_by({});
    check_well(cable, *session);
}

TEST_CASE("wrong id: an answer to somebody else's request is passed over, and the request asked again") {
    Cable& cable = fresh_cable();
    auto session = hid_session(cable, k_quick);
    cable.bend_by(once([](std::uint64_t now_us, Bytes report) {
        ++report[3];  // id of the request: behind report id, length and type
        return std::vector<TimedPacket>{{now_us, std::move(report)}};
    }));
    CHECK(session->set_mode(1).has_value());
    CHECK(session->set_mode(0).has_value());
    check_well(cable, *session);
}

TEST_CASE(
    "short: reports of 1, 10 and 63 bytes instead of 64 are no answer, and the request is asked again") {
    Cable& cable = fresh_cable();
    auto session = hid_session(cable, k_quick);
    for (const std::size_t bytes : {1u, 10u, 63u}) {
        CAPTURE(bytes);
        cable.bend_by(once([bytes](std::uint64_t now_us, Bytes report) {
            report.resize(bytes);
            return std::vector<TimedPacket>{{now_us, std::move(report)}};
        }));
        CHECK(session->ping().has_value());
    }
    check_well(cable, *session);
}

TEST_CASE("long: a report of 65 bytes is a babble on the bus; the request is asked again and answered") {
    Cable& cable = fresh_cable();
    auto session = hid_session(cable, k_quick);
    cable.bend_by(once([](std::uint64_t now_us, Bytes report) {
        report.push_back(0);
        return std::vector<TimedPacket>{{now_us, std::move(report)}};
    }));
    CHECK(session->ping().has_value());
    check_well(cable, *session);
}

TEST_CASE("foreign: reports of another id or with a length that cannot be are counted and never obeyed") {
    Cable& cable = fresh_cable();
    auto port = link::open_hid_port(cable.nodes().raw, real_clock());
    REQUIRE(port.has_value());
    auto owned = std::make_unique<link::HidLink>(std::move(*port));
    const link::HidLink& hid = *owned;
    auto session = Session::open(std::move(owned), k_quick);
    REQUIRE(session.has_value());
    cable.bend_by([](std::uint64_t now_us, const Bytes& report) {
        std::vector<TimedPacket> packets;
        for (const std::uint8_t length : std::initializer_list<std::uint8_t>{0, 1, 63, 255}) {
            Bytes strange(wire::k_hid_report_bytes, 0xEE);
            strange[0] = wire::k_hid_report_id;
            strange[1] = length;
            packets.push_back({now_us, strange});
        }
        packets.push_back({now_us, Bytes(wire::k_hid_report_bytes, 9)});  // of an id that nobody described
        packets.push_back({now_us, report});
        return packets;
    });
    for (int i = 0; i < 5; ++i) CHECK((*session)->ping().has_value());
    CHECK(hid.bad_frames() == 5 * 4);  // the kernel itself drops the unknown id
    cable.bend_by({});
    check_well(cable, **session);
}

TEST_CASE("full queue: of 100 and more batches that nobody reads every one is heard or counted as lost") {
    Cable& cable = fresh_cable();
    auto session = hid_session(cable, k_quick);
    std::uint64_t heard = 0;
    REQUIRE(session->subscribe(true, true, [&](const link::TimedEvent&) { ++heard; }).has_value());
    REQUIRE(session->listen(50).has_value());
    std::atomic<std::uint32_t> sent{0};
    const auto before = session->telemetry();
    cable.bend_by([&](std::uint64_t now_us, const Bytes& report) {
        sent += report[2] == static_cast<std::uint8_t>(wire::MessageType::telemetry) ? 1u : 0u;
        return std::vector<TimedPacket>{{now_us, report}};
    });
    cable.with([](sim::SimDevice& device) {
        for (std::uint32_t i = 0; i < 60; ++i)
            device.hands().press_switch(4, device.now_us() + 1000 + i * 60000, 30);
    });
    cable.pass_ms(4000);
    CHECK(sent > 100);
    REQUIRE(session->listen(1500).has_value());  // a heartbeat comes after what was lost
    const auto& counts = session->telemetry();
    cable.bend_by({});
    CHECK(counts.batches_lost > before.batches_lost);
    CHECK(counts.batches - before.batches + counts.batches_lost - before.batches_lost == sent);
    CHECK(counts.garbled == 0);
    CHECK(heard == counts.events);
    std::printf("figure: of %u batches unread, %u were lost and counted\n", sent.load(), counts.batches_lost);
    check_well(cable, *session);
}
