#include "tests/store/fixture.hpp"

namespace fettle::store {
namespace {

TEST_CASE("devices: 7 kinds of run are kept with all they say, newest first") {
    Bench bench;
    Store& store = *bench.store;
    const auto revision = store.profile(bench.profile)->latest_revision;
    std::vector<DeviceRun> wanted;
    for (int kind = 0; kind < k_run_kinds; ++kind) {
        bench.clock.advance_ms(10);
        const auto noted = store.note_run({.device_serial = "S1",
                                           .image_crc = 0xFFFFFFFFu - static_cast<unsigned>(kind),
                                           .profile = bench.profile,
                                           .revision = revision,
                                           .kind = static_cast<RunKind>(kind)});
        REQUIRE(noted);
        CHECK(noted->at_ms == k_start_ms + 10 * (kind + 1));
        CHECK(noted->person == bench.person);
        CHECK(noted->profile_name == profile::sample().name);
        wanted.insert(wanted.begin(), *noted);
    }
    CHECK(store.runs("S1", 100).value() == wanted);
    CHECK(store.runs("S1", 2)->size() == 2);
    CHECK(store.runs("S1", 2)->front() == wanted.front());
    CHECK(store.runs("S1", 0)->empty());
    CHECK(store.runs("S1", static_cast<std::size_t>(-1))->size() == 7);
    CHECK(store.runs("S2", 100)->empty());
}

TEST_CASE("devices: 2 are listed by serial, with their first and latest time") {
    Bench bench;
    Store& store = *bench.store;
    CHECK(store.devices()->empty());
    REQUIRE(store.note_run({.device_serial = "S2"}));
    bench.clock.advance_ms(5);
    REQUIRE(store.note_run({.device_serial = "S1"}));
    bench.clock.advance_ms(5);
    REQUIRE(store.note_run({.device_serial = "S2", .kind = RunKind::lost}));
    const auto all = store.devices().value();
    REQUIRE(all.size() == 2);
    CHECK(all[0] == DeviceEntry{"S1", k_start_ms + 5, k_start_ms + 5});
    CHECK(all[1] == DeviceEntry{"S2", k_start_ms, k_start_ms + 10});
}

TEST_CASE("devices: a run of an image from elsewhere belongs to nobody and keeps the name it is given") {
    Bench bench;
    const auto noted =
        bench.store->note_run({.device_serial = "S1", .person = 77, .profile_name = "elsewhere"});
    REQUIRE(noted);
    CHECK_FALSE(noted->person);
    CHECK_FALSE(noted->profile);
    CHECK(bench.store->runs("S1", 1)->front().profile_name == "elsewhere");
}

TEST_CASE("devices: 5 runs that cannot be are refused and not noted") {
    Bench bench;
    Store& store = *bench.store;
    const auto revision = store.profile(bench.profile)->latest_revision;
    const auto other = store.copy_profile(bench.profile, bench.person, "copy")->id;
    CHECK(code_of(store.note_run({.device_serial = "S1", .profile = 99})) == Errc::not_found);
    CHECK(code_of(store.note_run({.device_serial = "S1", .profile = other, .revision = revision})) ==
          Errc::not_found);
    CHECK(code_of(store.note_run({.device_serial = "S1", .revision = revision})) == Errc::not_found);
    CHECK(code_of(store.note_run({.device_serial = "S\x01"})) == Errc::syntax);
    CHECK(code_of(store.note_run({.device_serial = "S1", .profile_name = "\xFF"})) == Errc::syntax);
    CHECK(store.devices()->empty());
}

}  // namespace
}  // namespace fettle::store
