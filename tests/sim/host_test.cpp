#include "core/sim/host.hpp"

#include <doctest/doctest.h>

#include <initializer_list>

using namespace fettle;
using engine::Endpoint;
using sim::HostModel;

namespace {

engine::Report report(std::initializer_list<int> bytes) {
    engine::Report r{};
    for (const int byte : bytes) r.bytes[r.size++] = static_cast<std::uint8_t>(byte);
    return r;
}

constexpr auto k_keyboard = Endpoint::keyboard;
constexpr auto k_pointer = Endpoint::pointer;

}  // namespace

TEST_CASE("host: a keyboard report is read at the next poll, and once") {
    HostModel host;
    host.offer(k_keyboard, report({0x02, 0, 0x04, 0x05, 0, 0, 0, 0}));
    CHECK(host.poll(1000) == engine::k_taken_keyboard);
    CHECK(host.poll(2000) == 0);
    CHECK(host.view().modifiers == 2);
    CHECK(host.view().keys == std::set<std::uint8_t>{4, 5});
    REQUIRE(host.taken().size() == 1);
    CHECK(host.taken()[0].at_us == 1000);
}

TEST_CASE("host: motion of 300 and -2 counts, 2 detents and a pan add up, buttons are held") {
    HostModel host;
    for (int i = 0; i < 2; ++i) {
        host.offer(k_pointer, report({1, 0x03, 0x2C, 0x01, 0xFE, 0xFF, 0x01, 0xFF}));
        CHECK(host.poll(1000) == engine::k_taken_pointer);
    }
    CHECK(host.view().x == 600);
    CHECK(host.view().y == -4);
    CHECK(host.view().wheel == 2);
    CHECK(host.view().pan == -2);
    CHECK(host.view().buttons == 3);
    CHECK(host.view().holds_anything());
}

TEST_CASE("host: a consumer usage is held until 0 comes, buttons stay as they were") {
    HostModel host;
    host.offer(k_pointer, report({1, 1, 0, 0, 0, 0, 0, 0}));
    host.poll(1);
    host.offer(k_pointer, report({2, 0xE9, 0x00}));
    host.poll(2);
    CHECK(host.view().consumer == 0xE9);
    CHECK(host.view().buttons == 1);
    host.offer(k_pointer, report({2, 0, 0}));
    host.poll(3);
    CHECK(host.view().consumer == 0);
}

// Source: HID 1.11, appendix C: ErrorRollOver in all array fields, modifiers stay valid.
TEST_CASE("host: ErrorRollOver keeps the keys that were down and takes the modifiers") {
    HostModel host;
    host.offer(k_keyboard, report({0, 0, 4, 0, 0, 0, 0, 0}));
    host.poll(1);
    host.offer(k_keyboard, report({1, 0, 1, 1, 1, 1, 1, 1}));
    host.poll(2);
    CHECK(host.view().keys == std::set<std::uint8_t>{4});
    CHECK(host.view().modifiers == 1);
    CHECK(host.view().roll_overs == 1);
}

// Source: HID 1.11, appendix B.2: the boot mouse report is buttons, x, y.
TEST_CASE("host: in boot protocol 3 bytes are buttons, -1 and 127") {
    HostModel host;
    host.set_boot_protocol(engine::k_taken_pointer);
    host.offer(k_pointer, report({1, 0xFF, 0x7F}));
    host.poll(1);
    CHECK(host.view().buttons == 1);
    CHECK(host.view().x == -1);
    CHECK(host.view().y == 127);
    CHECK(host.view().consumer == 0);
}

TEST_CASE(
    "host: a report offered before the protocol changed is read as what it was: no button 1 from its id") {
    HostModel host;
    host.offer(k_pointer, report({1, 0, 5, 0, 0, 0, 0, 0}));
    host.set_boot_protocol(engine::k_taken_pointer);
    host.poll(1);
    CHECK(host.view().buttons == 0);
    CHECK(host.view().x == 5);
}

TEST_CASE("host: polls every 8 ms read the 8th, a host that does not read takes nothing") {
    HostModel host;
    host.set_interval_ms(8);
    host.offer(k_keyboard, report({0, 0, 4, 0, 0, 0, 0, 0}));
    for (int ms = 1; ms < 8; ++ms) CHECK(host.poll(static_cast<std::uint64_t>(ms)) == 0);
    host.set_reading(false);
    CHECK(host.poll(8) == 0);
    host.set_reading(true);
    for (int ms = 9; ms < 16; ++ms) CHECK(host.poll(static_cast<std::uint64_t>(ms)) == 0);
    CHECK(host.poll(16) == engine::k_taken_keyboard);
}

TEST_CASE("host: a computer that comes for its 3rd report at its 3rd poll has it then, and only once") {
    HostModel host;
    int asked = 0;
    host.read_by([&](engine::Endpoint endpoint, const engine::Report& r) {
        CHECK(endpoint == k_keyboard);
        CHECK(r.bytes[2] == 4);
        return ++asked == 3;
    });
    host.offer(k_keyboard, report({0, 0, 4, 0, 0, 0, 0, 0}));
    CHECK(host.poll(1) == 0);
    CHECK(host.poll(2) == 0);
    CHECK(host.view().keys.empty());
    CHECK(host.poll(3) == engine::k_taken_keyboard);
    CHECK(host.poll(4) == 0);
    CHECK(asked == 3);
    CHECK(host.view().keys == std::set<std::uint8_t>{4});
    host.read_by({});
    host.offer(k_keyboard, report({0, 0, 0, 0, 0, 0, 0, 0}));
    CHECK(host.poll(5) == engine::k_taken_keyboard);
}

TEST_CASE("host: a report offered over one that was not read is counted") {
    HostModel host;
    host.offer(k_keyboard, report({0, 0, 4, 0, 0, 0, 0, 0}));
    CHECK(host.overwritten() == 0);
    host.offer(k_keyboard, report({0, 0, 0, 0, 0, 0, 0, 0}));
    CHECK(host.overwritten() == 1);
    host.poll(1);
    CHECK(host.view().keys.empty());
}

TEST_CASE("host: unplugging lets go of everything, keeps the pointer where it was, ends boot protocol") {
    HostModel host;
    host.set_boot_protocol(3);
    host.offer(k_keyboard, report({1, 0, 4, 0, 0, 0, 0, 0}));
    host.offer(k_pointer, report({1, 10, 20}));
    host.poll(1);
    host.offer(k_keyboard, report({3, 0, 4, 5, 0, 0, 0, 0}));
    host.unplug();
    CHECK_FALSE(host.view().holds_anything());
    CHECK(host.view().x == 10);
    CHECK(host.view().y == 20);
    CHECK(host.boot_protocol() == 0);
    CHECK(host.poll(2) == 0);
    CHECK(host.overwritten() == 0);
}
