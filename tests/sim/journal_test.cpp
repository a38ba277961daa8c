#include "core/sim/journal.hpp"

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include "tests/sim/rig.hpp"

using namespace fettle;
using namespace fettle::test;
using sim::Journal;
using sim::SimDevice;

namespace {

constexpr std::uint64_t k_minute_ms = 60000;

std::shared_ptr<SimDevice> brought_back(Journal& journal) {
    auto device = sim::replay(journal);
    REQUIRE(device.has_value());
    return std::move(*device);
}

/// Everything that can be asked of a device without changing it.
void check_same(const SimDevice& a, const SimDevice& b) {
    CHECK(a.now_us() == b.now_us());
    CHECK(a.eeprom().bytes() == b.eeprom().bytes());
    const auto& x = a.device();
    const auto& y = b.device();
    CHECK(x.hello().image_crc == y.hello().image_crc);
    CHECK(x.hello().boot_id == y.hello().boot_id);
    CHECK(x.trial().phase == y.trial().phase);
    CHECK(x.trial().id == y.trial().id);
    CHECK(x.trial().seconds_left == y.trial().seconds_left);
    CHECK(x.trial().proof == y.trial().proof);
    CHECK(x.info().frames_in == y.info().frames_in);
    CHECK(x.info().up_s == y.info().up_s);
    CHECK(x.engine().state().mode == y.engine().state().mode);
    CHECK(x.engine().state().variant == y.engine().state().variant);
    CHECK(x.engine().state().inputs_down == y.engine().state().inputs_down);
    CHECK(a.host().view().x == b.host().view().x);
    CHECK(a.host().view().buttons == b.host().view().buttons);
    CHECK(a.host().taken().size() == b.host().taken().size());
}

/// A device of `journal` in the middle of a trial, with a mode change by hand, a switch that is down, and
/// some seconds.
std::shared_ptr<SimDevice> busy_device(Journal& journal) {
    auto device = brought_back(journal);
    device->advance_ms(300);
    auto session = open_session(device, Way::hid);
    REQUIRE(session->push(plain_image(2), 90).has_value());
    device->hands().set_contact({3000, 2});
    device->hands().press_switch(3, device->now_us() + 100000, 80);
    device->hands().set_axis(1, device->now_us() + 120000, 400);
    device->hands().close_switch(1, device->now_us() + 400000);
    device->advance_ms(2500);
    sim::note_end(journal, *device);
    return device;
}

Journal kept_journal() {
    SimDevice device({}, &kept_eeprom());
    return sim::new_journal({}, &device.eeprom());
}

}  // namespace

TEST_CASE("journal: replay gives the device as it was: trial, mode, held switch, storage, counts") {
    Journal journal = kept_journal();
    auto device = busy_device(journal);
    REQUIRE(device->device().trial().seconds_left > 80);
    REQUIRE(device->device().engine().state().mode == 1);
    REQUIRE(device->host().view().buttons == 1);
    Journal read = *sim::from_bytes(sim::to_bytes(journal));
    CHECK(read == journal);
    auto again = brought_back(read);
    check_same(*device, *again);
    // And both go on alike: the trial runs out at the same time.
    for (auto& d : {device, again}) {
        d->hands().set_contact({});
        d->hands().open_switch(1, d->now_us() + 5000);
        d->advance_ms(120000);
    }
    check_same(*device, *again);
    CHECK(runs(*again) == kept_crc());
    check_ends_released(*again);
}

TEST_CASE("journal: a profile kept by a press of the hands is kept in the replay") {
    Journal journal = kept_journal();
    auto device = brought_back(journal);
    device->advance_ms(300);
    auto session = open_session(device, Way::hid);
    REQUIRE(session->push(plain_image(2), 90).has_value());
    std::uint64_t at = device->now_us() + 100000;
    for (const std::uint8_t line :
         std::initializer_list<std::uint8_t>{1, 2, 3, 3, 5}) {  // click, release, there and back, keep
        device->hands().press_switch(line, at, 80);
        at += 400000;
    }
    device->advance_ms(4000);
    REQUIRE(device->device().trial().phase == wire::TrialPhase::kept);
    sim::note_end(journal, *device);
    auto again = brought_back(journal);
    check_same(*device, *again);
    CHECK(boots_to(again->eeprom().bytes()) == crc_of(plain_image(2)));
}

TEST_CASE("journal: a replayed device goes on recording, and its journal replays too, injected edges once") {
    Journal journal = kept_journal();
    for (int run = 0; run < 4; ++run) {
        auto device = brought_back(journal);
        device->advance_ms(300);
        auto session = open_session(device, Way::hid);
        const wire::InjectStep press[] = {{0, 1000}, {1, 50000}};
        REQUIRE(session->inject(3, press).has_value());
        REQUIRE(session->listen(500).has_value());
        sim::note_end(journal, *device);
        CHECK(device->device().engine().state().mode == (run + 1) % 2);
        Journal copy = *sim::from_bytes(sim::to_bytes(journal));
        auto again = brought_back(copy);
        check_same(*device, *again);
        check_ends_released(*again);
    }
}

TEST_CASE("journal: one of another engine build is read, not replayed, and goes on with its storage") {
    Journal journal = kept_journal();
    auto device = busy_device(journal);
    journal.engine_build = engine::k_engine_build + 1;
    auto read = sim::from_bytes(sim::to_bytes(journal));
    REQUIRE(read.has_value());
    CHECK(sim::replay(*read).error().code == Errc::version);
    Journal anew = sim::power_cycled(*read);
    auto again = brought_back(anew);
    again->advance_ms(1000);
    CHECK(runs(*again) == kept_crc());
}

TEST_CASE("journal: cut short at every byte it is refused as garbled") {
    Journal journal = kept_journal();
    busy_device(journal);
    const std::string bytes = sim::to_bytes(journal);
    for (std::size_t size = 0; size < bytes.size(); ++size) {
        const auto read = sim::from_bytes(bytes.substr(0, size));
        if (read || read.error().code != Errc::garbled) FAIL("cut at ", size);
    }
    CHECK(sim::from_bytes(bytes + '\0').error().code == Errc::garbled);
}

TEST_CASE("journal: any one flipped bit is refused") {
    Journal journal = kept_journal();
    busy_device(journal);
    const std::string bytes = sim::to_bytes(journal);
    for (std::size_t i = 0; i < bytes.size(); ++i) {
        std::string flipped = bytes;
        flipped[i] = static_cast<char>(flipped[i] ^ (1 << i % 8));
        if (sim::from_bytes(flipped)) FAIL("bit ", i % 8, " of byte ", i);
    }
}

TEST_CASE("journal: times out of order, past its end, or between two ticks are refused") {
    const auto code_of = [](std::uint64_t first, std::uint64_t second, std::uint64_t now) {
        Journal journal = sim::new_journal({});
        journal.now_us = now;
        journal.entries.push_back({first, Journal::Kind::report, {1, 2, 3, 1}, {}});
        journal.entries.push_back({second, Journal::Kind::edge, {}, {second, false, 1, 0}});
        const auto read = sim::from_bytes(sim::to_bytes(journal));
        return read ? "read" : read.error().detail;
    };
    CHECK(code_of(1000, 2000, 5000) == "read");
    CHECK(code_of(1000, 1000, 1000) == "read");
    CHECK(code_of(2000, 1000, 5000) == "times");
    CHECK(code_of(1000, 6000, 5000) == "times");
    CHECK(code_of(1000, 2001, 5000) == "times");
    CHECK(code_of(1000, 2000, 5001) == "times");
}

TEST_CASE("journal: an axis that no device has and an unknown kind are refused") {
    Journal journal = sim::new_journal({});
    journal.entries.push_back({0, Journal::Kind::axis, {}, {0, true, 4, 100}});
    CHECK(sim::from_bytes(sim::to_bytes(journal)).error().code == Errc::garbled);
    journal.entries[0] = {0, static_cast<Journal::Kind>(3), {}, {0, false, 1, 0}};
    CHECK(sim::from_bytes(sim::to_bytes(journal)).error().code == Errc::garbled);
}

TEST_CASE("journal: any journal that can be written reads back equal") {
    CHECK(rc::check([](std::vector<std::pair<std::uint16_t, std::vector<std::uint8_t>>> steps,
                       std::uint32_t seed) {
        Journal journal = sim::new_journal({seed, "A1"});
        for (const auto& [ms, bytes] : steps) {
            journal.now_us += ms * 1000u;
            Journal::Entry entry;
            entry.at_us = journal.now_us;
            entry.kind = static_cast<Journal::Kind>(bytes.size() % 3);
            if (entry.kind == Journal::Kind::report)
                entry.report = bytes;
            else
                entry.note = {journal.now_us + 5, entry.kind == Journal::Kind::axis,
                              static_cast<std::uint8_t>(bytes.size() % 4), static_cast<std::int16_t>(-ms)};
            journal.entries.push_back(entry);
        }
        const auto read = sim::from_bytes(sim::to_bytes(journal));
        RC_ASSERT(read.has_value());
        RC_ASSERT(*read == journal);
    }));
}

TEST_CASE("journal: at rest it starts anew after 10 minutes or 2,000 entries, and not before") {
    Journal journal = kept_journal();
    auto device = brought_back(journal);
    device->advance_ms(10 * k_minute_ms);
    sim::note_end(journal, *device);
    CHECK_FALSE(sim::should_start_anew(journal, *device));
    device->advance_ms(1);
    sim::note_end(journal, *device);
    CHECK(sim::should_start_anew(journal, *device));

    Journal crowded = kept_journal();
    auto other = brought_back(crowded);
    other->advance_ms(300);
    auto session = open_session(other, Way::hid);
    while (crowded.entries.size() < 2000) REQUIRE(session->info().has_value());
    sim::note_end(crowded, *other);
    CHECK_FALSE(sim::should_start_anew(crowded, *other));
    REQUIRE(session->info().has_value());
    CHECK(sim::should_start_anew(crowded, *other));
}

TEST_CASE("journal: what a person would miss keeps it: a mode, a variant, a held switch, a trial") {
    const auto after = [](const auto& change, std::uint64_t minutes) {
        Journal journal = kept_journal();
        auto device = brought_back(journal);
        device->advance_ms(300);
        auto session = open_session(device, Way::hid);
        change(*session, *device);
        device->advance_ms(static_cast<std::uint32_t>(minutes * k_minute_ms));
        sim::note_end(journal, *device);
        return sim::should_start_anew(journal, *device);
    };
    const auto nothing = [](link::Session&, SimDevice&) {};
    const auto mode = [](link::Session& s, SimDevice&) { REQUIRE(s.set_mode(1).has_value()); };
    const auto variant = [](link::Session& s, SimDevice&) { REQUIRE(s.set_variant(1).has_value()); };
    const auto held = [](link::Session&, SimDevice& d) { d.hands().close_switch(1, d.now_us() + 1000); };
    const auto trial = [](link::Session& s, SimDevice& d) {
        d.advance_ms(65 * static_cast<std::uint32_t>(k_minute_ms));
        REQUIRE(s.push(plain_image(2), 600).has_value());
    };
    CHECK(after(nothing, 11));
    CHECK_FALSE(after(mode, 11));
    CHECK_FALSE(after(variant, 11));
    CHECK_FALSE(after(held, 11));
    CHECK_FALSE(after(trial, 1));
    // After an hour only a trial keeps it.
    CHECK(after(mode, 61));
    CHECK(after(held, 61));
    CHECK(after(trial, 11));
}

TEST_CASE("journal: started anew the device has the same profile, and only the start is counted") {
    Journal journal = kept_journal();
    auto device = brought_back(journal);
    device->advance_ms(11 * k_minute_ms);
    sim::note_end(journal, *device);
    REQUIRE(sim::should_start_anew(journal, *device));
    const auto before = device->device().info();
    journal = sim::power_cycled(journal);
    CHECK(journal.entries.empty());
    CHECK(journal.now_us == 0);
    auto again = brought_back(journal);
    again->advance_ms(1000);
    CHECK(runs(*again) == kept_crc());
    CHECK(again->device().info().resets == before.resets + 1);
    CHECK(sim::to_bytes(journal).size() < 2200);
}

TEST_CASE("journal: beyond 200,000 entries or a day what is written is a start from the storage") {
    Journal journal = kept_journal();
    journal.entries.assign(200001, {0, Journal::Kind::report, {1, 2, 3, 1}, {}});
    Journal read = *sim::from_bytes(sim::to_bytes(journal));
    CHECK(read.entries.empty());
    CHECK(read.eeprom == kept_eeprom());
    journal = kept_journal();
    journal.now_us = 24 * 60 * k_minute_ms * 1000 + 1000;
    CHECK(sim::from_bytes(sim::to_bytes(journal))->now_us == 0);
}

TEST_CASE("journal: while a byte waits to be written it does not start anew, however old it is") {
    Journal journal = kept_journal();
    auto device = brought_back(journal);
    for (int ms = 0; ms < 300 && device->device().is_storage_idle(); ++ms) device->advance_ms(1);
    REQUIRE_FALSE(device->device().is_storage_idle());  // it writes down its start
    journal.now_us = 120 * k_minute_ms * 1000;
    CHECK_FALSE(sim::should_start_anew(journal, *device));
    device->advance_ms(1000);
    CHECK(sim::should_start_anew(journal, *device));
}
