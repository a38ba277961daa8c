#include "tests/sim/rig.hpp"

#include <doctest/doctest.h>

namespace fettle::test {

namespace {

Eeprom make_kept() {
    auto device = std::make_shared<sim::SimDevice>();
    auto session = open_session(device, Way::hid);
    auto pushed = session->push(plain_image(1), 0);
    REQUIRE(pushed.has_value());
    REQUIRE(session->keep(pushed->trial.id, pushed->trial.image_crc, true).has_value());
    device->advance_ms(1000);
    REQUIRE(device->device().is_storage_idle());
    return device->eeprom().bytes();
}

}  // namespace

const Eeprom& kept_eeprom() {
    static const Eeprom kept = make_kept();
    return kept;
}

std::uint32_t kept_crc() {
    return crc_of(plain_image(1));
}

std::shared_ptr<sim::SimDevice> kept_device() {
    auto device = std::make_shared<sim::SimDevice>(sim::SimOptions{}, &kept_eeprom());
    device->advance_ms(300);
    REQUIRE(runs(*device) == kept_crc());
    return device;
}

std::unique_ptr<link::Session> open_session(const std::shared_ptr<sim::SimDevice>& device, Way way) {
    auto session = link::Session::open(std::make_unique<link::MemoryLink>(device, way));
    REQUIRE(session.has_value());
    return std::move(*session);
}

std::uint32_t runs(const sim::SimDevice& device) {
    return device.device().hello().image_crc;
}

std::uint32_t boots_to(const Eeprom& eeprom) {
    sim::SimDevice probe(sim::SimOptions{}, &eeprom);
    probe.advance_ms(1000);
    const auto hello = probe.device().hello();
    return hello.current_slot == wire::k_slot_built_in ? 0 : hello.image_crc;
}

void check_ends_released(sim::SimDevice& device) {
    device.set_suspended(false);
    device.host().set_reading(true);
    device.plug_cable();
    device.advance_ms(1000);
    CHECK_FALSE(device.host().view().holds_anything());
    CHECK_FALSE(device.device().engine().holds_anything());
    CHECK(device.host().overwritten() == 0);
}

}  // namespace fettle::test
