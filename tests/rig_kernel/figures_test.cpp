// What the links reach over a real kernel, beside what the libraries reach bare on the same rig. Ratios are
// medians of 20 pairs that take turns, and fail only below 0.5: the same binary varies that much in a guest.

#include <doctest/doctest.h>

#include <hidapi.h>
#include <libserialport.h>
#include <sys/resource.h>

#include <algorithm>
#include <atomic>
#include <cstdio>

#include "tests/rig_kernel/outputs_image.hpp"
#include "tests/rig_kernel/rig.hpp"

using namespace fettle;
using namespace fettle::rig;
using link::Session;

namespace {

constexpr int k_pairs = 20;
constexpr int k_round_trips = 150;
constexpr double k_least_ratio = 0.5;
constexpr unsigned k_wait_ms = 2000;

struct Rates {
    double ours, bare;
};

double per_second(int count, std::int64_t began_us) {
    return count * 1e6 /
           static_cast<double>(std::max<std::int64_t>(real_clock().monotonic_us() - began_us, 1));
}

double median(std::vector<double> values) {
    std::sort(values.begin(), values.end());
    return values[values.size() / 2];
}

double of_session(Session& session) {
    const auto began_us = real_clock().monotonic_us();
    for (int i = 0; i < k_round_trips; ++i) REQUIRE(session.ping().has_value());
    return per_second(k_round_trips, began_us);
}

double of_hidapi(const std::string& node) {
    hid_device* device = hid_open_path(node.c_str());
    REQUIRE(device != nullptr);
    std::uint8_t message[wire::k_message_max], report[wire::k_hid_report_bytes],
        answer[wire::k_hid_report_bytes];
    REQUIRE(wire::pack_report(message, wire::put_ping_request(message, 1, 7), report));
    const auto began_us = real_clock().monotonic_us();
    int good = 0;
    for (int i = 0; i < k_round_trips; ++i)
        good += hid_write(device, report, sizeof report) == sizeof report &&
                        hid_read_timeout(device, answer, sizeof answer, k_wait_ms) == sizeof answer
                    ? 1
                    : 0;
    const double rate = per_second(good, began_us);
    hid_close(device);
    REQUIRE(good == k_round_trips);
    return rate;
}

double of_libserialport(const std::string& node) {
    sp_port* port = nullptr;
    REQUIRE(sp_get_port_by_name(node.c_str(), &port) == SP_OK);
    REQUIRE(sp_open(port, SP_MODE_READ_WRITE) == SP_OK);
    REQUIRE(sp_set_flowcontrol(port, SP_FLOWCONTROL_NONE) == SP_OK);
    REQUIRE(sp_set_dtr(port, SP_DTR_ON) == SP_OK);
    std::uint8_t message[wire::k_message_max], frame[wire::k_serial_frame_max],
        answer[wire::k_serial_frame_max];
    const std::size_t bytes = wire::pack_serial(message, wire::put_ping_request(message, 1, 7), frame);
    // Of an answer: the same and two times of 4 bytes more; all frames of one length have one size.
    std::uint8_t reply[wire::k_message_max] = {};
    const std::size_t awaited = wire::pack_serial(reply, wire::put_ping(reply, 1, {7, 1, 1}), answer);
    const auto began_us = real_clock().monotonic_us();
    int good = 0;
    for (int i = 0; i < k_round_trips; ++i)
        good += sp_blocking_write(port, frame, bytes, k_wait_ms) == static_cast<int>(bytes) &&
                        sp_blocking_read(port, answer, awaited, k_wait_ms) == static_cast<int>(awaited)
                    ? 1
                    : 0;
    const double rate = per_second(good, began_us);
    sp_close(port);
    sp_free_port(port);
    REQUIRE(good == k_round_trips);
    return rate;
}

void check_pairs(const char* what, const std::function<Rates()>& pair) {
    std::vector<double> ours, bare, ratios;
    for (int i = 0; i < k_pairs; ++i) {
        const Rates rates = pair();
        ours.push_back(rates.ours);
        bare.push_back(rates.bare);
        ratios.push_back(rates.ours / rates.bare);
    }
    std::printf(
        "figure: round trips by %s: %.0f a second, bare %.0f; ratio %.2f (aim: 0.85), median of %d pairs\n",
        what, median(ours), median(bare), median(ratios), k_pairs);
    CHECK(median(ratios) > k_least_ratio);
}

/// 8 edges a millisecond on two lines for a second from `from_us` on: more is noise to the engine.
void add_edges(sim::SimDevice& device, std::uint64_t from_us) {
    constexpr std::uint64_t k_gap_us = 125;
    for (std::uint64_t i = 0; i < 1000000 / k_gap_us; ++i)
        device.hands().edge(static_cast<std::uint8_t>(1 + i % 2), from_us + i * k_gap_us, i / 2 % 2 != 0);
}

double thread_cpu_s() {
    rusage used{};
    getrusage(RUSAGE_THREAD, &used);
    const auto s = [](const timeval& t) {
        return static_cast<double>(t.tv_sec) + static_cast<double>(t.tv_usec) / 1e6;
    };
    return s(used.ru_utime) + s(used.ru_stime);
}

}  // namespace

TEST_CASE("figure: round trips by HID against a bare hidapi loop, a device that answers at once") {
    Cable& cable = fresh_cable();
    cable.set_instant(true);
    const std::string node = cable.nodes().raw;
    check_pairs("HID", [&] {
        const double bare = of_hidapi(node);
        return Rates{of_session(*hid_session(cable)), bare};
    });
}

TEST_CASE("figure: round trips by serial against a bare libserialport loop, a device that answers at once") {
    Cable& cable = fresh_cable();
    cable.set_instant(true);
    const std::string node = cable.nodes().serial;
    check_pairs("serial", [&] {
        const double bare = of_libserialport(node);
        return Rates{of_session(*serial_session(cable)), bare};
    });
}

TEST_CASE("figure: telemetry as fast as the device can for 60 s: what is not heard is a counted gap") {
    constexpr int k_seconds = 60;
    Cable& cable = fresh_cable();
    const Grabbed inputs(cable.nodes());
    auto session = hid_session(cable);
    REQUIRE(session->push(motion_image(), 600).has_value());
    std::atomic<std::uint32_t> sent{0};
    std::atomic<std::uint64_t> bytes{0};
    cable.bend_by([&](std::uint64_t now_us, const Bytes& report) {
        if (report[2] == static_cast<std::uint8_t>(wire::MessageType::telemetry)) {
            ++sent;
            bytes += report[1];
        }
        return std::vector<TimedPacket>{{now_us, report}};
    });
    REQUIRE(session->subscribe(true, true, [](const link::TimedEvent&) {}).has_value());
    const double cpu_s = thread_cpu_s();
    const auto began_ms = now_ms();
    std::uint64_t edges_until_us = 0;
    cable.with([&](sim::SimDevice& device) { edges_until_us = device.now_us() + 2000; });
    for (int second = 0; second < k_seconds; ++second) {
        cable.with([&](sim::SimDevice& device) {
            add_edges(device, edges_until_us);
            device.hands().press_switch(k_move, edges_until_us + 1000, 900);
        });
        edges_until_us += 1000000;
        while (true) {
            std::uint64_t device_us = 0;
            cable.with([&](sim::SimDevice& device) { device_us = device.now_us(); });
            if (device_us + 20000 >= edges_until_us) break;
            REQUIRE(session->listen(20).has_value());
        }
    }
    const double took_s = static_cast<double>(now_ms() - began_ms) / 1000;
    const double load = (thread_cpu_s() - cpu_s) / took_s;
    REQUIRE(session->listen(3000).has_value());  // the heartbeat after the last batch
    const auto counts = session->telemetry();
    const std::uint32_t reports = sent;
    cable.bend_by({});
    std::printf(
        "figure: telemetry for %d s of device time in %.0f s: %.2f reports a ms of %.0f bytes; %u of %u "
        "lost, "
        "counted %u; the device left out %u events; reading took %.0f %% of the guest's core\n",
        k_seconds, took_s, reports / (k_seconds * 1000.0), static_cast<double>(bytes) / std::max(reports, 1u),
        reports - counts.batches - counts.repeated, reports, counts.batches_lost, counts.events_lost,
        load * 100);
    CHECK(reports > 30000);
    CHECK(counts.batches + counts.batches_lost == reports);
    CHECK(counts.garbled == 0);
    CHECK(counts.boots == 0);
    cable.with([](sim::SimDevice& device) {
        device.hands().open_switch(1, device.now_us() + 1000);
        device.hands().open_switch(2, device.now_us() + 1000);
    });
}

TEST_CASE("figure: from the raw node's appearance to greeted, 5 times, by HID and by serial") {
    Cable& cable = fresh_cable();
    for (int i = 0; i < 5; ++i)
        for (const bool is_hid : {true, false}) {
            REQUIRE(cable.pull_and_wait());
            const News news;
            REQUIRE(cable.plug());
            REQUIRE(news.wait_until([&] {
                const Nodes nodes = cable.nodes();
                return !(is_hid ? nodes.raw : nodes.serial).empty();
            }));
            const auto began_ms = now_ms();
            const auto session = is_hid ? hid_session(cable) : serial_session(cable);
            std::printf("figure: node to greeted by %s: %lld ms (aim: 1000)\n", is_hid ? "HID" : "serial",
                        static_cast<long long>(now_ms() - began_ms));
            CHECK(session->serial() == "SIM00001");
        }
}
