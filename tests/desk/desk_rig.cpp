#include "tests/desk/desk_rig.hpp"

#include <doctest/doctest.h>

#include "core/profile/document.hpp"
#include "tests/profile/sample.hpp"

namespace fettle::app::test {

DeskRig::DeskRig(const DeskOptions& options, std::shared_ptr<sim::SimDevice> with)
    : device(std::move(with)), clock(device), source(device), station(source, clock) {
    device->advance_ms(50);
    if (options.has_store) {
        auto opened = store::Store::open(options.store_path, clock);
        REQUIRE(opened.has_value());
        store = std::move(*opened);
    }
    keeper = std::make_unique<DeskKeeper>(station, *worker, store.get(), clock,
                                          std::vector<std::string>{options.assets}, folder.path());
    keeper->refresh();
}

void DeskRig::frame() {
    const auto before = clock.ms();
    station.step();
    if (clock.ms() == before) clock.add_ms(8);
    keeper->refresh();
}

void DeskRig::take_and_see(Order order) {
    take(std::move(order));
    keeper->refresh();
}

void DeskRig::run_ms(std::int64_t ms) {
    for (const auto end = clock.ms() + ms; clock.ms() < end;) frame();
}

void DeskRig::connect() {
    take(Ask{ask::Connect{}});
    REQUIRE(run_until([&] { return desk().device.state == LinkState::live; }));
    REQUIRE(run_until([&] { return !desk().names.inputs.empty(); }));
    run_ms(1200);  // a heartbeat: levels, mode
}

void DeskRig::press(const profile::InputSource& its_source, std::uint32_t hold_ms) {
    take(Ask{ask::Hand{its_source, true, hold_ms}});
    run_ms(hold_ms + 400);
}

void DeskRig::press(const std::string& input, std::uint32_t hold_ms) {
    const auto* one = profile::find_named(profile().inputs, input);
    REQUIRE(one != nullptr);
    press(one->source, hold_ms);
}

void DeskRig::press_twice(const profile::InputSource& its_source) {
    press(its_source);
    press(its_source);
}

void DeskRig::try_it(std::uint16_t trial_s, std::vector<std::string> accepted) {
    take(order::Try{trial_s, false, std::move(accepted)});
    REQUIRE(run_until([&] { return desk().trying.is_running && !desk().trying.is_asked; }, 30000));
    REQUIRE(run_until([&] { return desk().is_on_device(); }));
}

void DeskRig::prove() {
    press("select");
    const std::size_t modes = profile().modes.size();
    for (std::size_t i = 0; i < modes; ++i) press("menu", 150);
    REQUIRE(run_until([&] { return desk().trying.is_proven; }));
}

std::string DeskRig::notice() {
    const std::string words = desk().notice ? desk().notice->words : "";
    take(order::ForgetNotice{});
    return words;
}

void DeskRig::check_ends_released() {
    station.stop();
    device->pull_cable();
    device->advance_ms(5);
    CHECK_FALSE(device->host().view().holds_anything());
    fettle::test::check_ends_released(*device);
}

profile::Profile volunteer() {
    auto parsed = profile::parse(profile::asset("volunteer"));
    REQUIRE(parsed.has_value());
    return *parsed;
}

profile::Infrared strange_button(int command) {
    return {profile::Protocol::nec, 0x33, command, 0, 0};
}

}  // namespace fettle::app::test
