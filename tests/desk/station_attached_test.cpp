// Devices that may not be opened, that somebody else has, that are others than before, that are two.

#include <doctest/doctest.h>

#include <algorithm>

#include "app/desk/station_state.hpp"
#include "tests/desk/paired_source.hpp"

using namespace fettle;
using namespace fettle::app;
using namespace fettle::app::test;
using fettle::test::kept_device;
using fettle::test::kept_eeprom;

namespace {

std::shared_ptr<sim::SimDevice> device_of(const std::string& serial) {
    auto device = std::make_shared<sim::SimDevice>(sim::SimOptions{1, serial}, &kept_eeprom());
    device->advance_ms(100);
    return device;
}

}  // namespace

TEST_CASE("station access: one that may not be opened is told as no_access with its path, and never opened") {
    PairedRig rig;
    rig.source.entries[0].attached.is_accessible = false;
    const auto began = rig.clock.ms();
    const Told told = rig.answer(ask::Connect{});
    REQUIRE(told.error.has_value());
    CHECK(told.error->code == Errc::no_access);
    CHECK(told.error->where == "/dev/hid-1-1");
    CHECK(rig.clock.ms() - began <= 1000);
    rig.run_ms(5000);
    CHECK(rig.now.state == LinkState::absent);
    CHECK(rig.now.last_error->code == Errc::no_access);
    CHECK(rig.answer(ask::Release{}).error->code == Errc::no_access);
    CHECK(rig.source.opened.empty());
    CHECK(rig.now.found.size() == 1);
    // The rule is there: it is opened at once.
    rig.source.entries[0].attached.is_accessible = true;
    CHECK(rig.run_to(LinkState::live, 200));
    CHECK_FALSE(rig.now.last_error.has_value());
    rig.station.stop();
    fettle::test::check_ends_released(*rig.device);
}

TEST_CASE("station access: a node that udev gives rights to within 300 ms is connected to without a word") {
    PairedRig rig;
    rig.source.entries[0].attached.is_accessible = false;
    const auto ticket = rig.station.ask(ask::Connect{});
    rig.run_ms(300);
    CHECK(rig.told(ticket) == nullptr);
    CHECK_FALSE(rig.now.last_error.has_value());
    rig.source.entries[0].attached.is_accessible = true;
    CHECK(rig.run_to(LinkState::live, 200));
    REQUIRE(rig.told(ticket) != nullptr);
    CHECK_FALSE(rig.told(ticket)->error.has_value());
    rig.station.stop();
}

TEST_CASE(
    "station access: what may not be opened is not asked about any more when it is gone, or not wanted") {
    for (const bool is_disconnected : {false, true}) {
        PairedRig rig;
        rig.source.entries[0].attached.is_accessible = false;
        CHECK(rig.answer(ask::Connect{}).error->code == Errc::no_access);
        if (is_disconnected)
            rig.answer(ask::Disconnect{});
        else
            rig.device->pull_cable();
        rig.run_ms(300);
        CHECK_FALSE(rig.now.last_error.has_value());
    }
}

TEST_CASE("station access: beside one that may not be opened another one is") {
    PairedRig rig;
    rig.source.entries[0].attached.is_accessible = false;
    const auto other = device_of("SIM00002");
    rig.source.add("1-2", "SIM00002", other);
    CHECK_FALSE(rig.answer(ask::Connect{}).error.has_value());
    CHECK(rig.now.attached->path == "/dev/hid-1-2");
    CHECK(rig.source.opened == std::vector<std::string>{"/dev/hid-1-2"});
    rig.station.stop();
}

TEST_CASE(
    "station refused: in_use and foreign stay told, are tried once a second, and are over when they are") {
    for (const bool is_foreign : {false, true}) {
        CAPTURE(is_foreign);
        PairedRig rig;
        rig.source.has_fallback = false;
        const Errc code = is_foreign ? Errc::foreign : Errc::in_use;
        if (is_foreign)
            rig.source.plan = {fettle::test::Harm::error_reply, 2, true};
        else
            rig.source.refuses = Error{Errc::in_use, "/dev/hid-1-1", "process 7"};
        const Told told = rig.answer(ask::Connect{});
        REQUIRE(told.error.has_value());
        CHECK(told.error->code == code);
        const auto tries = rig.source.opened.size();
        int others = 0;
        for (const auto end = rig.clock.ms() + 10000; rig.clock.ms() < end;) {
            rig.step();
            others += rig.now.last_error && rig.now.last_error->code == code ? 0 : 1;
        }
        CHECK(others == 0);
        CHECK(rig.now.state != LinkState::live);
        CHECK(rig.source.opened.size() - tries >= 6);
        CHECK(rig.source.opened.size() - tries <= 11);
        rig.source.plan = {};
        rig.source.refuses.reset();
        CHECK(rig.run_to(LinkState::live, 2500));
        CHECK_FALSE(rig.now.last_error.has_value());
        rig.station.stop();
        fettle::test::check_ends_released(*rig.device);
    }
}

TEST_CASE("station again: unplugged and back under another node and at another place, it is live by itself") {
    PairedRig rig;
    REQUIRE_FALSE(rig.answer(ask::Connect{"SIM00001"}).error.has_value());  // by its serial number
    rig.run_ms(1500);
    for (const std::string place : {"1-1", "2-3", "1-4"}) {
        CAPTURE(place);
        rig.device->pull_cable();
        CHECK(rig.run_to(LinkState::absent, 1000));
        auto& attached = rig.source.entries[0].attached;
        attached.place = place;
        attached.path = "/dev/other-" + place;
        rig.device->plug_cable();
        CHECK(rig.run_to(LinkState::live, 1000));
        CHECK(rig.now.attached->path == "/dev/other-" + place);
        rig.run_ms(1500);
    }
    CHECK(rig.now.health.reconnects == 3);
    rig.station.stop();
}

TEST_CASE("station again: one that changed its serial number is another device, and is not opened silently") {
    PairedRig rig;
    REQUIRE_FALSE(rig.answer(ask::Connect{}).error.has_value());
    rig.device->pull_cable();
    CHECK(rig.run_to(LinkState::absent, 1000));
    rig.source.entries[0].attached.serial = "SIM00009";
    rig.device->plug_cable();
    rig.run_ms(5000);
    CHECK(rig.now.state == LinkState::absent);
    CHECK(rig.source.opened.size() == 1);
    CHECK(rig.now.found.size() == 1);
    REQUIRE_FALSE(rig.answer(ask::Connect{}).error.has_value());  // somebody wants it
    CHECK(rig.now.state == LinkState::live);
    rig.station.stop();
}

TEST_CASE("station again: one whose hello says another serial number than before is not gone on with") {
    PairedRig rig;
    REQUIRE_FALSE(rig.answer(ask::Connect{}).error.has_value());
    rig.device->pull_cable();
    CHECK(rig.run_to(LinkState::absent, 1000));
    const auto other = device_of("SIM00002");
    rig.source.entries[0].device = other;  // USB still calls it SIM00001
    rig.run_ms(6000);
    CHECK(rig.now.state != LinkState::live);
    CHECK(rig.now.last_error->code == Errc::not_found);
    CHECK(rig.now.last_error->detail.find("SIM00002") != std::string::npos);
    CHECK(std::string(reinterpret_cast<const char*>(rig.now.hello->serial), 8) == "SIM00001");
    CHECK(rig.source.opened.size() <= 8);
    REQUIRE_FALSE(rig.answer(ask::Connect{}).error.has_value());
    CHECK(rig.now.state == LinkState::live);
    rig.station.stop();
}

TEST_CASE("station again: of two with one serial number the other one is not taken for it") {
    PairedRig rig;
    const auto twin = device_of("SIM00001");
    rig.source.add("1-2", "SIM00001", twin);
    REQUIRE_FALSE(rig.answer(ask::Connect{"/dev/hid-1-1"}).error.has_value());
    rig.run_ms(2000);  // it was seen beside the other one
    rig.device->pull_cable();
    rig.run_ms(3000);
    CHECK(rig.now.state == LinkState::absent);
    CHECK(rig.source.opened.size() == 1);
    rig.device->plug_cable();
    CHECK(rig.run_to(LinkState::live, 1000));
    CHECK(rig.now.attached->place == "1-1");
    rig.station.stop();
}

TEST_CASE("station again: one without a serial number comes back at its place, and at no other") {
    PairedRig rig;
    auto& attached = rig.source.entries[0].attached;
    attached.serial.clear();
    REQUIRE_FALSE(rig.answer(ask::Connect{}).error.has_value());
    rig.device->pull_cable();
    CHECK(rig.run_to(LinkState::absent, 1000));
    attached.place = "1-2";
    rig.device->plug_cable();
    rig.run_ms(3000);
    CHECK(rig.now.state == LinkState::absent);
    attached.place = "1-1";
    attached.path = "/dev/hid-9";
    CHECK(rig.run_to(LinkState::live, 1000));
    rig.station.stop();
}

TEST_CASE("station again: the answer to keep was lost with the link: what it runs is said once it is back") {
    using fettle::test::crc_of;
    using fettle::test::plain_image;
    for (const int at : {3, 4}) {  // the request, the answer; two messages before ask which trial runs
        CAPTURE(at);
        PairedRig rig;
        rig.source.has_fallback = false;
        REQUIRE_FALSE(rig.answer(ask::Connect{}).error.has_value());
        REQUIRE_FALSE(rig.answer(ask::Push{plain_image(2), 60}).error.has_value());
        rig.run_ms(300);
        rig.source.first->set_plan({fettle::test::Harm::close, at, false, true});
        const Told told = rig.answer(ask::Keep{true});
        REQUIRE(told.error.has_value());
        CHECK(told.error->code == Errc::closed);
        CHECK_FALSE(told.is_old_profile_safe);
        CHECK(rig.run_to(LinkState::live, 2000));
        rig.run_ms(1000);
        const bool is_kept = rig.now.trial.phase == wire::TrialPhase::kept;
        CHECK(is_kept == (at == 4));
        CHECK(rig.now.hello->image_crc == crc_of(plain_image(2)));  // kept, or on trial still
        if (!is_kept) CHECK(rig.now.trial.phase == wire::TrialPhase::running);
        rig.station.stop();
        fettle::test::check_ends_released(*rig.device);
        CHECK((fettle::test::boots_to(rig.device->eeprom().bytes()) == crc_of(plain_image(2))) == is_kept);
    }
}
