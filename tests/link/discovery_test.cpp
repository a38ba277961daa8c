// What it tells and opens, on a system whose news the test makes.

#include "core/link/discovery.hpp"

#include <doctest/doctest.h>

#include "tests/link/discovery_rig.hpp"

using namespace fettle;
using namespace fettle::test;
using link::Attached;
using link::Change;
using link::Discovery;
using link::Stranger;

namespace {

struct Started {
    explicit Started(link::Sight first = {}) {
        system.set(std::move(first));
        discovery.emplace(system.wish(), clock);
        system.rest();
    }
    void change(link::Sight to, std::vector<Change> news) {
        system.set(std::move(to));
        system.tell_and_rest(std::move(news));
    }

    FakeSystem system;
    HandClock clock;
    std::optional<Discovery> discovery;
};

Attached refused(Attached one) {
    one.is_accessible = false;
    return one;
}

}  // namespace

TEST_CASE("discovery: looks once at its start, without news, and says so once") {
    Started it(sight_with({entry(1)}, {{"1-9", "boot loader"}}));
    CHECK(it.discovery->has_looked());
    CHECK(it.discovery->sight() == sight_with({entry(1)}, {{"1-9", "boot loader"}}));
    CHECK(it.system.scans() == 1);
    CHECK(it.system.changes() == 1);
}

TEST_CASE("discovery: the first look is told of when nothing is there, and when it failed") {
    Started nothing;
    CHECK(nothing.discovery->has_looked());
    CHECK(nothing.system.changes() == 1);

    FakeSystem system;
    const HandClock clock;
    system.fail_next_scan();
    const Discovery discovery(system.wish(), clock);
    system.rest();
    CHECK(discovery.has_looked());
    CHECK(discovery.sight() == link::Sight{});
    CHECK(system.changes() == 1);
}

TEST_CASE("discovery: a system that gives no news is looked at every 5 s, and not more often") {
    Started it;
    CHECK(it.system.last_wait_ms() <= 5001);
    it.system.set(sight_with({entry(1)}));
    it.clock.advance_ms(4999);
    it.system.tell({Change::none});
    it.system.rest();
    CHECK(it.discovery->sight().devices.empty());
    it.clock.advance_ms(1);
    it.system.tell({Change::none});
    it.system.rest();
    CHECK(it.discovery->sight() == sight_with({entry(1)}));
    CHECK(it.system.scans() == 2);
}

TEST_CASE("discovery: each kind of news makes it look; only a sight that differs is told") {
    Started it(sight_with({entry(1)}));
    for (const Change news : {Change::kernel, Change::settled}) it.system.tell_and_rest({news});
    it.system.tell({Change::maybe});
    it.system.rest();
    CHECK(it.system.scans() == 4);
    CHECK(it.system.changes() == 1);
    it.change(sight_with({}), {Change::kernel});
    CHECK(it.discovery->sight() == link::Sight{});
    CHECK(it.system.changes() == 2);
}

TEST_CASE("discovery: 12 pieces of news, up to the quiet after them, are one look") {
    Started it;
    it.change(
        sight_with({entry(1, "/dev/ttyACM0")}),
        {Change::kernel, Change::kernel, Change::settled, Change::kernel, Change::kernel, Change::kernel,
         Change::kernel, Change::kernel, Change::settled, Change::settled, Change::kernel, Change::settled});
    CHECK(it.system.scans() == 2);
    CHECK(it.system.changes() == 2);
    CHECK(it.discovery->sight() == sight_with({entry(1, "/dev/ttyACM0")}));
}

TEST_CASE("discovery: a bus that is never quiet is looked at after 257 pieces of news") {
    Started it;
    it.system.tell_and_rest(std::vector<Change>(3 * 257, Change::kernel));
    CHECK(it.system.scans() == 1 + 3);
}

TEST_CASE("discovery: a look that fails changes nothing and is made again when a second is over") {
    Started it(sight_with({entry(1)}));
    it.system.fail_next_scan();
    it.change(sight_with({entry(2)}), {Change::kernel});
    CHECK(it.discovery->sight() == sight_with({entry(1)}));
    CHECK(it.system.last_wait_ms() == 1000);
    it.system.tell_and_rest({});
    CHECK(it.discovery->sight() == sight_with({entry(2)}));
    CHECK(it.system.scans() == 3);
    it.system.tell_and_rest({});  // and no more after one that did not fail
    CHECK(it.system.scans() == 3);
}

TEST_CASE("discovery: a stranger that was plugged in is told of when it is still one after a second") {
    Started it;
    const link::Sight foreign = sight_with({}, {{"1-1", "boot loader"}});
    it.change(foreign, {Change::kernel});
    CHECK(it.discovery->sight() == link::Sight{});
    CHECK(it.system.last_wait_ms() == 1001);
    it.clock.advance_ms(999);
    it.system.tell_and_rest({});
    CHECK(it.system.scans() == 2);
    CHECK(it.system.last_wait_ms() == 2);
    it.clock.advance_ms(1);
    it.system.tell_and_rest({});
    CHECK(it.discovery->sight() == foreign);
    CHECK(it.system.changes() == 2);
    it.system.tell_and_rest({});
    CHECK(it.system.scans() == 3);
}

TEST_CASE("discovery: a stranger that turns out to be ours within a second was never one") {
    Started it;
    it.change(sight_with({}, {{"1-1", "Fettle access device"}}), {Change::kernel});
    it.clock.advance_ms(500);
    it.change(sight_with({entry(1)}), {Change::settled});
    it.clock.advance_ms(4000);
    it.system.tell_and_rest({});
    CHECK(it.discovery->sight() == sight_with({entry(1)}));
    CHECK(it.system.changes() == 2);
    CHECK(it.system.scans() == 3);
}

TEST_CASE("discovery: a device whose serial port is still to come is told of with it") {
    Started it;
    link::Sight growing = sight_with({entry(1)});
    growing.unfinished = {"1-1"};
    it.change(growing, {Change::kernel});
    it.change(growing, {Change::settled});
    CHECK(it.discovery->sight() == link::Sight{});
    CHECK(it.discovery->open(entry(1)).error().code == Errc::not_found);
    it.change(sight_with({entry(1, "/dev/ttyACM0")}), {Change::kernel});
    CHECK(it.discovery->sight() == sight_with({entry(1, "/dev/ttyACM0")}));
    CHECK(it.system.changes() == 2);
}

TEST_CASE(
    "discovery: a device whose serial port never comes is told of after a second, and not forgotten then") {
    Started it;
    link::Sight growing = sight_with({entry(1)});
    growing.unfinished = {"1-1"};
    it.change(growing, {Change::kernel});
    CHECK(it.system.last_wait_ms() == 1001);
    it.clock.advance_ms(1000);
    it.system.tell_and_rest({});
    CHECK(it.discovery->sight() == sight_with({entry(1)}));
    it.system.tell_and_rest({Change::kernel});
    CHECK(it.discovery->sight() == sight_with({entry(1)}));
    CHECK(it.system.changes() == 2);
}

TEST_CASE("discovery: at the first look a device is told of as it is, and when it loses its port too") {
    link::Sight growing = sight_with({entry(1, "/dev/ttyACM0")});
    growing.unfinished = {"1-1"};
    Started it(growing);
    CHECK(it.discovery->sight() == sight_with({entry(1, "/dev/ttyACM0")}));
    growing.devices = {entry(1)};
    it.change(growing, {Change::kernel});
    CHECK(it.discovery->sight() == sight_with({entry(1)}));
}

TEST_CASE("discovery: opens what is in sight, as it is now, and nothing else") {
    Started it(sight_with({entry(1), entry(2, "/dev/ttyACM0")}));
    CHECK(it.discovery->open(entry(2)).has_value());  // the caller does not know the fallback
    CHECK(it.system.opened() == std::vector<Attached>{entry(2, "/dev/ttyACM0")});
    CHECK(it.discovery->open(entry(3)).error().code == Errc::not_found);
    CHECK(it.system.opened().size() == 1);
    CHECK(it.system.scans() == 1);
}

TEST_CASE("discovery: another serial number at the same path is another device; none means any") {
    Started it(sight_with({entry(1)}));
    Attached wanted = entry(1);
    wanted.serial = "FT99";
    CHECK(it.discovery->open(wanted).error().code == Errc::not_found);
    CHECK(it.system.opened().empty());
    wanted.serial.clear();
    CHECK(it.discovery->open(wanted).has_value());
}

TEST_CASE("discovery: by the path of its fallback a device is opened by that alone") {
    Started it(sight_with({refused(entry(1, "/dev/ttyACM0"))}));
    Attached wanted;
    wanted.path = "/dev/ttyACM0";
    CHECK(it.discovery->open(wanted).has_value());
    Attached alone = entry(1);
    alone.channel = link::ChannelKind::serial;
    alone.path = "/dev/ttyACM0";
    CHECK(it.system.opened() == std::vector<Attached>{alone});
    wanted.path = "";
    CHECK(it.discovery->open(wanted).error().code == Errc::not_found);
}

TEST_CASE("discovery: what the system does not let us open is refused without being tried") {
    Started it(sight_with({refused(entry(1))}));
    CHECK(it.discovery->open(entry(1)).error().code == Errc::no_access);
    CHECK(it.system.opened().empty());
}

TEST_CASE("discovery: after a refusal for rights nothing is tried until udev has news") {
    Started it(sight_with({entry(1), entry(2)}));
    it.system.refuse_with(Errc::no_access);
    CHECK(it.discovery->open(entry(1)).error().code == Errc::no_access);
    CHECK(it.discovery->sight() == sight_with({refused(entry(1)), entry(2)}));
    it.system.refuse_with(std::nullopt);
    it.system.tell_and_rest({Change::kernel});
    CHECK(it.discovery->open(entry(1)).error().code == Errc::no_access);
    CHECK(it.system.opened().size() == 1);
    CHECK(it.discovery->open(entry(2)).has_value());
    it.system.tell_and_rest({Change::kernel, Change::settled, Change::kernel});
    CHECK(it.discovery->sight() == sight_with({entry(1), entry(2)}));
    CHECK(it.discovery->open(entry(1)).has_value());
    CHECK(it.system.changes() == 3);
}

TEST_CASE("discovery: a refusal ends with the device, and where the system itself says so") {
    Started it(sight_with({entry(1)}));
    it.system.refuse_with(Errc::no_access);
    CHECK(it.discovery->open(entry(1)).error().code == Errc::no_access);
    it.change(sight_with({}), {Change::kernel});
    it.change(sight_with({entry(1)}), {Change::kernel});
    CHECK(it.discovery->sight() == sight_with({entry(1)}));

    CHECK(it.discovery->open(entry(1)).error().code == Errc::no_access);
    it.change(sight_with({refused(entry(1))}), {Change::maybe});
    it.change(sight_with({entry(1)}), {Change::maybe});
    CHECK(it.discovery->sight() == sight_with({entry(1)}));
}

TEST_CASE("discovery: other failures to open are told and change nothing") {
    Started it(sight_with({entry(1)}));
    for (const Errc code : {Errc::in_use, Errc::io, Errc::not_found, Errc::closed}) {
        it.system.refuse_with(code);
        CHECK(it.discovery->open(entry(1)).error().code == code);
    }
    CHECK(it.discovery->sight() == sight_with({entry(1)}));
    CHECK(it.system.changes() == 1);
}

TEST_CASE("discovery: a refusal leaves a stranger that is waited for where it was") {
    Started it(sight_with({entry(1)}));
    const std::vector<Stranger> foreign = {{"1-9", "boot loader"}};
    it.change(sight_with({entry(1)}, foreign), {Change::kernel});
    it.system.refuse_with(Errc::no_access);
    CHECK(it.discovery->open(entry(1)).error().code == Errc::no_access);
    it.system.rest();
    it.clock.advance_ms(1000);
    it.system.tell_and_rest({});
    CHECK(it.discovery->sight() == sight_with({refused(entry(1))}, foreign));
}
