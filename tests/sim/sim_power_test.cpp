#include <doctest/doctest.h>
#include <rapidcheck.h>

#include "tests/sim/rig.hpp"

using namespace fettle;
using namespace fettle::test;
using sim::SimDevice;
using sim::Torn;

namespace {

constexpr Torn k_torn[] = {Torn::old_value, Torn::new_value, Torn::erased, Torn::garbage, Torn::unsettled};

/// Pushes version 2 and keeps it, over a link that closes when power fails.
void push_and_keep(link::Session& session) {
    auto pushed = session.push(plain_image(2), 0);
    if (!pushed) return;
    (void)session.keep(pushed->trial.id, pushed->trial.image_crc, true).has_value();
}

/// A link that cuts the power of its device at a time.
class CuttingLink : public link::MemoryLink {
public:
    CuttingLink(std::shared_ptr<SimDevice> device, std::uint64_t cut_at_ms, Torn torn)
        : MemoryLink(device, Way::hid), device_(std::move(device)), cut_at_ms_(cut_at_ms), torn_(torn) {}
    Result<std::optional<link::Message>> receive(std::uint32_t wait_ms) override {
        for (std::uint32_t waited = 0; waited < wait_ms; ++waited) {
            if (now_ms() >= cut_at_ms_ && !has_cut_) {
                has_cut_ = true;
                device_->cut_power(torn_);
            }
            auto got = MemoryLink::receive(1);
            if (!got || *got) return got;
        }
        return std::optional<link::Message>{};
    }
    bool has_cut() const { return has_cut_; }

private:
    std::shared_ptr<SimDevice> device_;
    std::uint64_t cut_at_ms_;
    Torn torn_;
    bool has_cut_ = false;
};

/// How many ms push and keep take when nothing happens.
std::uint64_t undisturbed_ms() {
    auto device = kept_device();
    auto session = open_session(device, Way::hid);
    const auto begin = device->now_us();
    push_and_keep(*session);
    return (device->now_us() - begin) / 1000 + 1;
}

void cut_and_check(std::uint64_t after_ms, Torn torn) {
    auto device = kept_device();
    const auto cut_at_ms = device->now_us() / 1000 + after_ms;
    auto session = link::Session::open(std::make_unique<CuttingLink>(device, cut_at_ms, torn));
    if (session) push_and_keep(**session);
    device->advance_ms(1000);
    const auto crc = runs(*device);
    const auto new_crc = crc_of(plain_image(2));
    CHECK((crc == kept_crc() || crc == new_crc));
    // What it decided on it decides again, at every start.
    device->cut_power();
    device->advance_ms(1000);
    CHECK(runs(*device) == crc);
    CHECK(device->device().hello().current_slot < wire::k_slots);
    check_ends_released(*device);
}

}  // namespace

TEST_CASE(
    "power: it may fail in every 3rd millisecond of a push and a keep, torn in 5 ways: old or new, whole") {
    const auto whole_ms = undisturbed_ms();
    CAPTURE(whole_ms);
    std::uint64_t cuts = 0;
    for (std::uint64_t ms = 0; ms <= whole_ms; ms += 3) {
        CAPTURE(ms);
        cut_and_check(ms, k_torn[cuts++ % std::size(k_torn)]);
    }
    CHECK(cuts > 100);
}

TEST_CASE(
    "power: in the last 60 ms, where keep writes, it may fail in every millisecond, torn in all 5 ways") {
    const auto whole_ms = undisturbed_ms();
    for (std::uint64_t back = 0; back <= 60; ++back)
        for (const Torn torn : k_torn) {
            CAPTURE(back);
            CAPTURE(static_cast<int>(torn));
            cut_and_check(whole_ms - back, torn);
        }
}

TEST_CASE("power: a failure and a second one while it recovers, at random times, lose nothing") {
    const auto whole_ms = undisturbed_ms();
    CHECK(rc::check([&](std::uint16_t first, std::uint8_t second, std::uint8_t how) {
        auto device = kept_device();
        const auto cut_at_ms = device->now_us() / 1000 + first % whole_ms;
        auto session = link::Session::open(
            std::make_unique<CuttingLink>(device, cut_at_ms, k_torn[how % std::size(k_torn)]));
        if (session) push_and_keep(**session);
        device->cut_power(k_torn[how % std::size(k_torn)]);
        device->advance_ms(second);
        device->cut_power(k_torn[how / 8u % std::size(k_torn)]);
        device->advance_ms(1000);
        const auto crc = runs(*device);
        RC_ASSERT(crc == kept_crc() || crc == crc_of(plain_image(2)));
        RC_ASSERT(!device->host().view().holds_anything());
    }));
}

TEST_CASE(
    "power: what was held when it failed is held no more, and a switch still down is ignored until up") {
    auto device = kept_device();
    device->hands().close_switch(1, device->now_us() + 1000);
    device->advance_ms(100);
    REQUIRE(device->host().view().buttons == 1);
    device->cut_power();
    CHECK_FALSE(device->host().view().holds_anything());
    device->advance_ms(1000);
    CHECK_FALSE(device->host().view().holds_anything());
    CHECK(device->device().engine().state().inputs_down != 0);  // it knows that the switch is down
    device->hands().open_switch(1, device->now_us());
    device->hands().close_switch(1, device->now_us() + 100000);
    device->advance_ms(200);
    CHECK(device->host().view().buttons == 1);
    device->hands().open_switch(1, device->now_us());
    check_ends_released(*device);
}

TEST_CASE("power: a switch closed and opened while the cable was out is up after it was plugged") {
    auto device = kept_device();
    device->hands().close_switch(1, device->now_us() + 1000);
    device->advance_ms(100);
    device->pull_cable();
    device->hands().open_switch(1, device->now_us() + 50000);
    device->advance_ms(500);
    device->plug_cable();
    device->advance_ms(500);
    CHECK(device->device().engine().state().inputs_down == 0);
    CHECK_FALSE(device->host().view().holds_anything());
    check_ends_released(*device);
}

TEST_CASE("power: a cable pulled in a trial brings back the kept profile, its boot id is another") {
    auto device = kept_device();
    auto session = open_session(device, Way::hid);
    REQUIRE(session->push(plain_image(2), 60).has_value());
    CHECK(runs(*device) == crc_of(plain_image(2)));
    const auto boot_id = device->device().hello().boot_id;
    device->pull_cable();
    device->advance_ms(10);
    device->plug_cable();
    device->advance_ms(1000);
    CHECK(runs(*device) == kept_crc());
    CHECK(device->device().hello().boot_id != boot_id);
    check_ends_released(*device);
}

TEST_CASE("power: an erased storage starts with the built-in profile, and a failure then harms nothing") {
    SimDevice device;
    device.advance_ms(500);
    CHECK(device.device().hello().current_slot == wire::k_slot_built_in);
    device.cut_power(Torn::garbage);
    device.advance_ms(500);
    CHECK(device.device().is_ready());
    CHECK(device.device().hello().current_slot == wire::k_slot_built_in);
    check_ends_released(device);
}
