#include "core/sim/sim_device.hpp"

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include <chrono>

#include "tests/sim/rig.hpp"

using namespace fettle;
using namespace fettle::test;
using sim::SimDevice;

namespace {

/// What a computer saw of a run, to be compared as a whole.
std::vector<std::uint8_t> seen(SimDevice& device) {
    std::vector<std::uint8_t> all;
    for (const auto& report : device.host().taken()) {
        for (int i = 0; i < 8; ++i) all.push_back(static_cast<std::uint8_t>(report.at_us >> (8 * i)));
        all.push_back(static_cast<std::uint8_t>(report.endpoint));
        all.insert(all.end(), report.report.bytes, report.report.bytes + report.report.size);
    }
    std::vector<std::uint8_t> report;
    while (device.hid_in(report)) all.insert(all.end(), report.begin(), report.end());
    const auto& eeprom = device.eeprom().bytes();
    all.insert(all.end(), eeprom.begin(), eeprom.end());
    return all;
}

void send(SimDevice& device, std::uint8_t size, const std::uint8_t* message) {
    std::uint8_t report[wire::k_hid_report_bytes];
    REQUIRE(wire::pack_report(message, size, report));
    device.hid_out(report);
}

/// A busy second for the hands: bouncing switches, a remote, a stick.
void plan(SimDevice& device) {
    device.hands().set_contact({3000, 3});
    device.hands().set_air({10, 20, 100, 2});
    for (std::uint8_t line = 1; line <= 8; ++line)
        if (line != 5 && line != 6) device.hands().press_switch(line, 20000u * line, 90);
    device.hands().press_remote(engine::make_ir_frame(engine::Protocol::nec, 4, 5), 100000, 300);
    device.hands().set_axis(0, 50000, 700);
    device.hands().set_axis(0, 400000, 0);
}

}  // namespace

TEST_CASE("simulated device: however 1,500 ms are split into calls, the computer sees the same bytes") {
    const auto whole = [] {
        SimDevice device({}, &kept_eeprom());
        plan(device);
        device.advance_ms(1500);
        return seen(device);
    }();
    CHECK(whole.size() > 1024 + 20);
    CHECK(rc::check([&](std::vector<std::uint8_t> parts) {
        SimDevice device({}, &kept_eeprom());
        plan(device);
        std::uint32_t left = 1500;
        for (const std::uint32_t part : parts) {
            const auto ms = std::min(left, part);
            device.advance_ms(ms);
            left -= ms;
        }
        device.advance_ms(left);
        RC_ASSERT(seen(device) == whole);
    }));
}

TEST_CASE("simulated device: two of one seed are the same, another seed bounces otherwise") {
    const auto run = [](std::uint32_t seed) {
        SimDevice device({seed, "SIM00001"}, &kept_eeprom());
        const std::uint8_t subscribe[] = {static_cast<std::uint8_t>(wire::MessageType::subscribe), 1,
                                          wire::k_subscribe_edges};
        device.advance_ms(300);
        send(device, sizeof subscribe, subscribe);
        device.hands().set_contact({3000, 3});
        device.hands().press_switch(1, 400000, 50);
        device.advance_ms(700);
        return seen(device);
    };
    CHECK(run(1) == run(1));
    CHECK(run(1) != run(2));
}

TEST_CASE("simulated device: a switch pressed 80 ms is a button held 80 ms for the computer, to 5 ms") {
    auto device = kept_device();
    device->host().forget_taken();
    device->hands().press_switch(1, device->now_us() + 10000, 80);
    device->advance_ms(200);
    std::uint64_t down_us = 0, up_us = 0;
    for (const auto& taken : device->host().taken()) {
        if (taken.endpoint != engine::Endpoint::pointer) continue;
        if (taken.report.bytes[1] == 1 && down_us == 0) down_us = taken.at_us;
        if (taken.report.bytes[1] == 0 && down_us != 0 && up_us == 0) up_us = taken.at_us;
    }
    CHECK(up_us - down_us >= 75000);
    CHECK(up_us - down_us <= 85000);
    check_ends_released(*device);
}

TEST_CASE("simulated device: nothing goes wrong when the computer polls every 1, 4 or 255 ms") {
    for (const std::uint8_t interval : std::initializer_list<std::uint8_t>{1, 4, 255}) {
        CAPTURE(static_cast<int>(interval));
        auto device = kept_device();
        device->host().set_interval_ms(interval);
        for (unsigned i = 0; i < 20; ++i)
            device->hands().press_switch(i % 2 == 0 ? 1 : 4, device->now_us() + 1000 + 300000u * i, 100);
        device->advance_ms(8000);
        device->host().set_interval_ms(1);
        check_ends_released(*device);
    }
}

TEST_CASE("simulated device: a computer that reads nothing for 5 s is offered no second report meanwhile") {
    auto device = kept_device();
    device->host().set_reading(false);
    for (unsigned i = 0; i < 10; ++i)
        device->hands().press_switch(1, device->now_us() + 1000 + 400000u * i, 100);
    device->hands().press_switch(4, device->now_us() + 50000, 100);
    device->advance_ms(5000);
    CHECK(device->host().overwritten() == 0);
    check_ends_released(*device);
}

TEST_CASE("simulated device: reports are never overwritten, whatever switches do while the computer sleeps") {
    CHECK(rc::check([](std::vector<std::pair<std::uint8_t, std::uint8_t>> steps) {
        auto device = kept_device();
        for (const auto& [what, number] : steps) {
            const std::uint8_t line = static_cast<std::uint8_t>(1 + number % 4);
            switch (what % 6) {
                case 0: device->set_suspended(number % 2 == 0); break;
                case 1: device->host().set_reading(number % 2 == 0); break;
                case 2: device->host().set_boot_protocol(number % 4); break;
                case 3: device->hands().close_switch(line, device->now_us() + 100); break;
                case 4: device->hands().open_switch(line, device->now_us() + 100); break;
                case 5: device->advance_ms(number); break;
            }
        }
        for (std::uint8_t line = 1; line <= 4; ++line)
            device->hands().open_switch(line, device->now_us() + 200);
        device->host().set_boot_protocol(0);
        check_ends_released(*device);
        RC_ASSERT(!device->host().view().holds_anything());
        RC_ASSERT(device->host().overwritten() == 0);
    }));
}

TEST_CASE("simulated device: a computer that sleeps sees no press; awake it sees the next one") {
    auto device = kept_device();
    device->hands().close_switch(1, device->now_us() + 1000);
    device->advance_ms(50);
    CHECK(device->host().view().buttons == 1);
    device->set_suspended(true);
    device->advance_ms(100);
    device->hands().open_switch(1, device->now_us());
    device->hands().press_switch(1, device->now_us() + 200000, 50);
    device->advance_ms(1000);
    device->set_suspended(false);
    device->advance_ms(100);
    CHECK_FALSE(device->host().view().holds_anything());
    device->host().forget_taken();
    device->hands().press_switch(1, device->now_us() + 1000, 50);
    device->advance_ms(300);
    CHECK(device->host().taken().size() >= 2);
    check_ends_released(*device);
}

TEST_CASE("simulated device: a trial ends when the computer falls asleep") {
    auto device = kept_device();
    auto session = open_session(device, Way::hid);
    REQUIRE(session->push(plain_image(2), 60).has_value());
    device->set_suspended(true);
    device->advance_ms(500);
    device->set_suspended(false);
    device->advance_ms(500);
    CHECK(runs(*device) == kept_crc());
    check_ends_released(*device);
}

TEST_CASE("simulated device: an hour with a press a second takes moments") {
    auto device = kept_device();
    const auto begin = std::chrono::steady_clock::now();
    for (unsigned second = 0; second < 3600; ++second) {
        device->hands().press_switch(second % 2 == 0 ? 1 : 4, device->now_us() + 1000, 100);
        device->advance_ms(1000);
        if (second % 60 == 0) device->host().forget_taken();
    }
    const std::chrono::duration<double> took = std::chrono::steady_clock::now() - begin;
    MESSAGE("a simulated hour took " << took.count() << " s, " << took.count() * 1e9 / 3.6e6
                                     << " ns a simulated ms");
    CHECK(device->now_us() / 1000000 >= 3600);
    CHECK(device->device().info().up_s >= 3600);
    CHECK(device->device().info().faults == 0);
    check_ends_released(*device);
}
