// What the program sees of real devices: through libudev, on a kernel without udev's daemon.

#include "core/link/discovery.hpp"

#include <doctest/doctest.h>

#include <atomic>
#include <condition_variable>
#include <cstdio>
#include <mutex>

#include "core/link/device_watch.hpp"
#include "tests/rig_kernel/rig.hpp"

using namespace fettle;
using namespace fettle::rig;
using link::ChannelKind;

namespace {

/// Waits until the discovery's own thread has seen what is asked for, at most 20 s.
class Sightings {
public:
    Sightings()
        : discovery_(link::Discovery::Wish{.on_change =
                                               [this] {
                                                   const std::lock_guard lock(mutex_);
                                                   changed_.notify_all();
                                               }},
                     real_clock()) {}
    bool wait_until(const std::function<bool(const link::Sight&)>& is_so) {
        std::unique_lock lock(mutex_);
        return changed_.wait_for(lock, std::chrono::seconds(20), [&] { return is_so(discovery_.sight()); });
    }
    link::Discovery& discovery() { return discovery_; }

private:
    std::mutex mutex_;
    std::condition_variable changed_;
    link::Discovery discovery_;
};

bool sees(const link::Sight& sight, const std::string& place) {
    for (const auto& each : sight.devices)
        if (each.place == place && each.is_accessible && !each.fallback_path.empty()) return true;
    return false;
}

}  // namespace

TEST_CASE("scan: one record a device, with serial number, product, place and both channels") {
    Cable& cable = fresh_cable();
    const Nodes nodes = cable.nodes();
    const auto sight = link::scan_kernel();
    REQUIRE(sight.has_value());
    REQUIRE(sight->devices.size() == 1);
    CHECK(sight->strangers.empty());
    const link::Attached& seen = sight->devices[0];
    CHECK(seen.channel == ChannelKind::hid);
    CHECK(seen.path == nodes.raw);
    CHECK(seen.fallback_path == nodes.serial);
    CHECK(seen.serial == "SIM00001");
    CHECK(seen.product == "Fettle access device");
    CHECK(seen.place == cable.place());
    CHECK(seen.is_accessible);
    CHECK(sight->unfinished.empty());
}

TEST_CASE("scan: the libraries' own lists name the same device as the kernel's, with both channels") {
    Cable& cable = fresh_cable();
    const auto sight = link::scan_libraries();
    REQUIRE(sight.has_value());
    REQUIRE(sight->devices.size() == 1);
    CHECK(sight->devices[0].path == cable.nodes().raw);
    CHECK(sight->devices[0].serial == "SIM00001");
    CHECK(sight->devices[0].fallback_path == cable.nodes().serial);
}

TEST_CASE("scan: a cable that is out leaves nothing behind in either list") {
    Cable& cable = fresh_cable();
    REQUIRE(cable.pull_and_wait());
    CHECK(link::scan_kernel()->devices.empty());
    CHECK(link::scan_kernel()->strangers.empty());
    CHECK(link::scan_libraries()->devices.empty());
}

TEST_CASE("scan: 2 devices are told apart by serial number and place, each with its own serial port") {
    Cable& first = fresh_cable();
    const auto second = another_cable(1, {2, "SIM00002"});
    const auto sight = link::scan_kernel();
    REQUIRE(sight.has_value());
    REQUIRE(sight->devices.size() == 2);
    CHECK(sight->devices[0].serial == "SIM00001");
    CHECK(sight->devices[0].path == first.nodes().raw);
    CHECK(sight->devices[0].fallback_path == first.nodes().serial);
    CHECK(sight->devices[1].serial == "SIM00002");
    CHECK(sight->devices[1].path == second->nodes().raw);
    CHECK(sight->devices[1].fallback_path == second->nodes().serial);
    CHECK(sight->devices[1].place == second->place());
    auto one = hid_session(first), two = hid_session(*second);
    CHECK(one->serial() == "SIM00001");
    CHECK(two->serial() == "SIM00002");
}

TEST_CASE("scan: a device with the same ids that runs something else is 1 stranger, named, and no device") {
    Cable& cable = fresh_cable();
    REQUIRE(cable.pull_and_wait());
    cable.with_usb([](UsbDevice& usb) { usb.set_foreign(true); });
    const News news;
    REQUIRE(cable.plug());
    REQUIRE(news.wait_until([&] { return !cable.nodes().keyboard_raw.empty(); }));
    for (const auto& sight : {link::scan_kernel(), link::scan_libraries()}) {
        REQUIRE(sight.has_value());
        CHECK(sight->devices.empty());
        REQUIRE(sight->strangers.size() == 1);
        CHECK(sight->strangers[0].product == "Fettle access device");
    }
    CHECK(link::scan_kernel()->strangers[0].place == cable.place());
    REQUIRE(cable.pull_and_wait());
}

TEST_CASE("scan: a device whose raw interface does not start is opened by its serial port, and greets") {
    Cable& cable = fresh_cable();
    REQUIRE(cable.pull_and_wait());
    cable.decide_by([](const SetupPacket& setup, auto) {
        const bool is_report_descriptor = setup.request == 6 && setup.value == 0x2200;
        return is_report_descriptor && setup.index == wire::k_raw_interface ? Fate::stall : Fate::serve;
    });
    const News news;
    REQUIRE(cable.plug());
    REQUIRE(news.wait_until([&] { return !cable.nodes().serial.empty(); }));
    const auto attached = attached_at(cable.place());
    REQUIRE(attached.has_value());
    CHECK(attached->channel == ChannelKind::serial);
    CHECK(attached->path == cable.nodes().serial);
    CHECK(link::scan_kernel()->unfinished == std::vector{cable.place()});
    await_ready(cable);
    CHECK(serial_session(cable)->serial() == "SIM00001");
    REQUIRE(cable.pull_and_wait());
}

TEST_CASE("discovery: plugged in, it is named by the kernel's news; pulled, it is gone; 3 times") {
    Cable& cable = fresh_cable();
    REQUIRE(cable.pull_and_wait());
    Sightings sightings;
    REQUIRE(sightings.wait_until([&](const link::Sight& s) { return s.devices.empty(); }));
    for (int i = 0; i < 3; ++i) {
        const auto plugged_ms = now_ms();
        REQUIRE(cable.plug());
        REQUIRE(sightings.wait_until([&](const link::Sight& s) { return sees(s, cable.place()); }));
        std::printf("figure: plugged in to named: %lld ms (aim: 1500)\n",
                    static_cast<long long>(now_ms() - plugged_ms));
        CHECK(sightings.discovery().sight().devices[0].serial == "SIM00001");
        auto link = sightings.discovery().open(sightings.discovery().sight().devices[0]);
        REQUIRE(link.has_value());
        auto session = link::Session::open(std::move(*link));
        REQUIRE(session.has_value());
        CHECK((*session)->serial() == "SIM00001");
        const auto pulled_ms = now_ms();
        cable.pull();
        REQUIRE(sightings.wait_until([&](const link::Sight& s) { return s.devices.empty(); }));
        std::printf("figure: pulled to gone from the list: %lld ms\n",
                    static_cast<long long>(now_ms() - pulled_ms));
        CHECK((*session)->ping().error().code == Errc::closed);
    }
}

TEST_CASE("discovery: a device that fails to enumerate is never named, and one after it is") {
    Cable& cable = fresh_cable();
    REQUIRE(cable.pull_and_wait());
    std::atomic<int> refused{0};
    cable.decide_by([&](const SetupPacket& setup, auto) {
        if (setup.request != 6 || setup.value != 0x0200) return Fate::serve;
        ++refused;
        return Fate::stall;  // no configuration descriptor
    });
    Sightings sightings;
    REQUIRE(cable.plug());
    const auto second = another_cable(1, {2, "SIM00002"});
    CHECK(sightings.wait_until([&](const link::Sight& s) { return sees(s, second->place()); }));
    CHECK_FALSE(sees(sightings.discovery().sight(), cable.place()));
    CHECK(refused > 0);
    REQUIRE(cable.pull_and_wait());
}
