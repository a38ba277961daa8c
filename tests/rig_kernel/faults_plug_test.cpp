// Cables that are pulled and plugged, computers that let the device sleep, programs that are killed.

#include <doctest/doctest.h>

#include <algorithm>
#include <cstdio>
#include <fstream>

#include "core/link/opening.hpp"
#include "core/link/ports.hpp"
#include "tests/rig_kernel/rig.hpp"

using namespace fettle;
using namespace fettle::rig;
using link::ChannelKind;
using link::Session;

namespace {

constexpr link::Limits k_quick{400, 1000, 3, 3000};

std::string power_of(const Cable& cable) {
    return "/sys/bus/usb/devices/" + cable.place() + "/power/";
}
void set_power(const Cable& cable, const char* file, const char* value) {
    std::ofstream(power_of(cable) + file) << value;
}

/// The hub stays awake, as one does that has something else plugged in.
void let_sleep(const Cable& cable) {
    const std::string hub = "usb" + cable.place().substr(0, cable.place().find('-'));
    std::ofstream("/sys/bus/usb/devices/" + hub + "/power/control") << "on";
    set_power(cable, "autosuspend_delay_ms", "100");
    set_power(cable, "control", "auto");
}

std::uint32_t boots_to(Cable& cable) {
    test::Eeprom bytes{};
    cable.with([&](sim::SimDevice& device) { bytes = device.eeprom().bytes(); });
    return test::boots_to(bytes);
}

/// Pulls the cable at the n-th request on the raw interface from now on; n larger than they are: never.
UsbIpStream::Decider pull_at(int n, Fate fate) {
    return [n, fate, count = 0](const SetupPacket& setup, auto) mutable {
        return is_raw_request(setup) && ++count == n ? fate : Fate::serve;
    };
}

/// Plugs in again and greets. The cable's pull may still be under way.
std::unique_ptr<Session> after_replug(Cable& cable) {
    REQUIRE(cable.pull_and_wait());
    REQUIRE(cable.plug_and_wait());
    await_ready(cable);
    return hid_session(cable, k_quick);
}

void say(const char* what, std::int64_t ms) {
    std::printf("figure: %s: %lld ms\n", what, static_cast<long long>(ms));
}

}  // namespace

TEST_CASE("unplug: at each message of a push the host reads `closed` at once, and the device keeps the old") {
    const auto image = test::plain_image(2);
    const int messages = 2 + static_cast<int>((image.size() + wire::k_block_max - 1) / wire::k_block_max);
    std::int64_t slowest_ms = 0;
    for (int n = 1; n <= messages; ++n)
        for (const Fate fate : {Fate::pulled, Fate::served_pulled}) {
            CAPTURE(n);
            CAPTURE(static_cast<int>(fate));
            Cable& cable = fresh_cable();
            auto session = hid_session(cable, k_quick);
            cable.decide_by(pull_at(n, fate));
            const auto began_ms = now_ms();
            const auto pushed = session->push(image, 0);
            slowest_ms = std::max(slowest_ms, now_ms() - began_ms);
            REQUIRE_FALSE(pushed.has_value());
            CHECK(pushed.error().code == Errc::closed);
            CHECK(boots_to(cable) == test::kept_crc());
            session.reset();
            cable.decide_by({});
            session = after_replug(cable);
            CHECK(session->hello().image_crc == test::kept_crc());
            CHECK(session->trial()->phase == wire::TrialPhase::none);
        }
    say("longest push that an unplug ended, from its beginning", slowest_ms);
}

TEST_CASE("unplug: at keep, before or after the device had it, the device says after that which it has") {
    for (const Fate fate : {Fate::pulled, Fate::served_pulled}) {
        CAPTURE(static_cast<int>(fate));
        Cable& cable = fresh_cable();
        auto session = hid_session(cable, k_quick);
        const auto pushed = session->push(test::plain_image(2), 60);
        REQUIRE(pushed.has_value());
        cable.decide_by(pull_at(1, fate));
        const auto kept = session->keep(pushed->trial.id, pushed->trial.image_crc, true);
        REQUIRE_FALSE(kept.has_value());
        CHECK(kept.error().code == Errc::closed);
        const std::uint32_t has = boots_to(cable);
        if (fate == Fate::pulled) CHECK(has == test::kept_crc());
        CHECK((has == test::kept_crc() || has == pushed->trial.image_crc));
        session.reset();
        cable.decide_by({});
        session = after_replug(cable);
        CHECK(session->hello().image_crc == has);
    }
}

TEST_CASE("unplug: with nothing asked it is noticed by HID, by serial and by both within a second") {
    for (const int way : {0, 1, 2}) {
        CAPTURE(way);
        Cable& cable = fresh_cable();
        std::unique_ptr<Session> session;
        if (way == 0) session = hid_session(cable);
        if (way == 1) session = serial_session(cable);
        if (way == 2) {
            auto link = link::open_device(*attached_at(cable.place()), "", real_clock());
            REQUIRE(link.has_value());
            session = std::move(*Session::open(std::move(*link)));
        }
        cable.pull();
        const auto began_ms = now_ms();
        const auto heard = session->listen(10000);
        say("unplugged to noticed", now_ms() - began_ms);
        REQUIRE_FALSE(heard.has_value());
        CHECK(heard.error().code == Errc::closed);
        CHECK(session->ping().error().code == Errc::closed);
        session.reset();
        REQUIRE(cable.pull_and_wait());
    }
}

TEST_CASE(
    "unplug: without any failing transfer before it, the next request is an error, and a new link works") {
    Cable& cable = fresh_cable();
    auto session = hid_session(cable, k_quick);
    cable.pull(Cable::Pull::abrupt);
    const auto began_ms = now_ms();
    CHECK_FALSE(session->ping().has_value());
    say("a request after an end of the stream without notice", now_ms() - began_ms);
    session.reset();
    session = after_replug(cable);
    CHECK(session->ping().has_value());
}

TEST_CASE(
    "re-enumeration: a device that leaves and comes back during a push is spoken to again, with the old") {
    Cable& cable = fresh_cable();
    auto session = hid_session(cable, k_quick);
    const News news;
    const std::string address = "/sys/bus/usb/devices/" + cable.place() + "/devnum";
    const std::string before = sysfs_line(address);
    cable.decide_by(pull_at(4, Fate::served_pulled));
    cable.replug_after_pull();
    const auto pushed = session->push(test::plain_image(2), 0);
    REQUIRE_FALSE(pushed.has_value());
    CHECK(pushed.error().code == Errc::closed);
    session.reset();
    REQUIRE(news.wait_until([&] { return sysfs_line(address) != before && cable.nodes().are_all_there(); }));
    await_ready(cable);
    session = hid_session(cable, k_quick);
    CHECK(session->hello().image_crc == test::kept_crc());
    CHECK(session->push(test::plain_image(3), 0).has_value());
}

TEST_CASE(
    "serial number: another device at the same socket is seen by its own number, old links stay closed") {
    Cable& cable = fresh_cable();
    auto session = hid_session(cable, k_quick);
    REQUIRE(cable.pull_and_wait());
    CableOptions other;
    other.device.serial = "OTHER009";
    other.eeprom = &test::kept_eeprom();
    cable.exchange_device(other);
    REQUIRE(cable.plug_and_wait());
    await_ready(cable);
    CHECK(session->ping().error().code == Errc::closed);
    const auto attached = attached_at(cable.place());
    REQUIRE(attached.has_value());
    CHECK(attached->serial == "OTHER009");
    CHECK(hid_session(cable)->serial() == "OTHER009");
}

TEST_CASE("sleep: a computer that lets the device sleep wakes it for a request by serial, and again") {
    Cable& cable = fresh_cable();
    auto session = serial_session(cable);
    let_sleep(cable);
    for (int i = 0; i < 3; ++i) {
        REQUIRE(becomes(cable, [&](sim::SimDevice&) {
            return sysfs_line(power_of(cable) + "runtime_status") == "suspended";
        }));
        CHECK(session->ping().has_value());
        CHECK(sysfs_line(power_of(cable) + "runtime_status") == "active");
    }
    set_power(cable, "control", "on");
    CHECK(session->push(test::plain_image(2), 0).has_value());
}

TEST_CASE("sleep: an open HID channel keeps the device awake for 1 s of silence") {
    Cable& cable = fresh_cable();
    auto session = hid_session(cable);
    let_sleep(cable);
    REQUIRE(session->listen(1000).has_value());
    CHECK(sysfs_line(power_of(cable) + "runtime_status") == "active");
    CHECK(session->ping().has_value());
    set_power(cable, "control", "on");
}

TEST_CASE("sleep: unplugged while it sleeps, a session by serial says closed") {
    Cable& cable = fresh_cable();
    auto session = serial_session(cable);
    let_sleep(cable);
    REQUIRE(becomes(cable, [&](sim::SimDevice&) {
        return sysfs_line(power_of(cable) + "runtime_status") == "suspended";
    }));
    cable.pull();
    CHECK(session->ping().error().code == Errc::closed);
    session.reset();
    REQUIRE(cable.pull_and_wait());
}

TEST_CASE("2 devices with the same profile: a mode and a push go to the one that was asked") {
    Cable& first = fresh_cable();
    const auto second = another_cable(1, {2, "SIM00002"});
    auto one = hid_session(first), two = hid_session(*second);
    CHECK(one->hello().image_crc == two->hello().image_crc);
    CHECK(one->serial() != two->serial());
    REQUIRE(two->set_mode(1).has_value());
    CHECK(first.nodes().raw != second->nodes().raw);
    first.with([](sim::SimDevice& device) { CHECK(device.device().engine().state().mode == 0); });
    second->with([](sim::SimDevice& device) { CHECK(device.device().engine().state().mode == 1); });
    REQUIRE(one->push(test::plain_image(2), 0).has_value());
    CHECK(one->greet()->image_crc == test::crc_of(test::plain_image(2)));
    CHECK(two->greet()->image_crc == test::kept_crc());
    // One is unplugged in the middle of the other's work.
    second->pull();
    CHECK(one->read_image(wire::k_slot_current).has_value());
    CHECK(two->ping().error().code == Errc::closed);
}

TEST_CASE(
    "killed: a program that dies half-way through a push leaves the old; the next one pushes it whole") {
    Cable& cable = fresh_cable();
    {
        Other program("push", {cable.nodes().raw});
        REQUIRE(program.line() == "half");
        program.kill();
    }
    CHECK(boots_to(cable) == test::kept_crc());
    auto session = hid_session(cable);
    CHECK(session->hello().image_crc == test::kept_crc());
    CHECK(session->trial()->phase == wire::TrialPhase::none);
    const auto pushed = session->push(test::plain_image(2), 0);
    REQUIRE(pushed.has_value());
    CHECK(session->keep(pushed->trial.id, pushed->trial.image_crc, true).has_value());
    CHECK(boots_to(cable) == pushed->trial.image_crc);
}

TEST_CASE("a second program is told who has the device, and has it as soon as the first is dead") {
    Cable& cable = fresh_cable();
    const std::string claims = "/tmp/claims";
    Other program("hold", {cable.place(), claims});
    REQUIRE(program.line() == "held");
    const auto attached = attached_at(cable.place());
    REQUIRE(attached.has_value());
    const auto refused = link::open_device(*attached, claims, real_clock());
    REQUIRE_FALSE(refused.has_value());
    CHECK(refused.error().code == Errc::in_use);
    CHECK(refused.error().detail == "process " + std::to_string(program.pid()));
    program.kill();
    auto link = link::open_device(*attached, claims, real_clock());
    REQUIRE(link.has_value());
    CHECK(Session::open(std::move(*link)).has_value());
}

TEST_CASE("a serial port that another program holds is in use, HID works, and it is free when that is dead") {
    Cable& cable = fresh_cable();
    Other program("hold_serial", {cable.nodes().serial});
    REQUIRE(program.line() == "held");
    CHECK(link::open_serial_port(cable.nodes().serial, real_clock()).error().code == Errc::in_use);
    {
        auto link = link::open_device(*attached_at(cable.place()), "", real_clock());
        REQUIRE(link.has_value());
        CHECK((*link)->channel() == ChannelKind::hid);
        CHECK(Session::open(std::move(*link)).has_value());
    }
    program.kill();
    CHECK(serial_session(cable)->ping().has_value());
}
