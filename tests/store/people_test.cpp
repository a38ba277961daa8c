#include "tests/store/fixture.hpp"

namespace fettle::store {
namespace {

TEST_CASE("people: 3 added are listed in that order, with the times of their adding") {
    FakeClock clock(k_start_ms);
    const auto store = opened(":memory:", clock);
    CHECK(store->people()->empty());
    for (const char* name : {"c", "a", "b"}) {
        REQUIRE(store->add_person(name));
        clock.advance_ms(1000);
    }
    const auto people = store->people();
    REQUIRE(people->size() == 3);
    CHECK(people->at(0) == Person{1, "c", k_start_ms});
    CHECK(people->at(1) == Person{2, "a", k_start_ms + 1000});
    CHECK(people->at(2) == Person{3, "b", k_start_ms + 2000});
    CHECK(store->person(2).value() == people->at(1));
}

TEST_CASE("people: a rename shows; to the own name it is allowed, to another's it is refused") {
    Bench bench;
    const auto other = bench.store->add_person("visitor");
    REQUIRE(other);
    CHECK(bench.store->rename_person(other->id, "visitor"));
    CHECK(code_of(bench.store->rename_person(other->id, "volunteer")) == Errc::duplicate);
    CHECK(bench.store->person(other->id)->name == "visitor");
    REQUIRE(bench.store->rename_person(other->id, "second visitor"));
    CHECK(bench.store->person(other->id)->name == "second visitor");
    CHECK(bench.store->person(other->id)->created_ms == other->created_ms);
    CHECK(bench.store->person(bench.person)->name == "volunteer");
}

TEST_CASE("people: a second person of one name is refused and not there") {
    Bench bench;
    const auto again = bench.store->add_person("volunteer");
    CHECK(code_of(again) == Errc::duplicate);
    CHECK(again.error().detail == "volunteer");
    CHECK(bench.store->people()->size() == 1);
}

TEST_CASE("people: 8 calls with an id that nobody has give not_found and say which") {
    Bench bench;
    Store& store = *bench.store;
    CHECK(code_of(store.person(9)) == Errc::not_found);
    CHECK(code_of(store.rename_person(9, "x")) == Errc::not_found);
    CHECK(code_of(store.remove_person(9)) == Errc::not_found);
    CHECK(code_of(store.profiles(9)) == Errc::not_found);
    CHECK(code_of(store.add_profile(9, profile::sample())) == Errc::not_found);
    CHECK(code_of(store.recordings(9)) == Errc::not_found);
    CHECK(code_of(store.export_person(9)) == Errc::not_found);
    const auto moved = store.move_profile(bench.profile, 9);
    CHECK(code_of(moved) == Errc::not_found);
    CHECK(moved.error().where == "person");
    CHECK(moved.error().detail == "9");
}

TEST_CASE("people: a removed person's id is not given again, and what was theirs is gone") {
    Bench bench;
    Store& store = *bench.store;
    const auto revision = store.profile(bench.profile)->latest_revision;
    REQUIRE(store.note_run({.device_serial = "S1", .profile = bench.profile}));
    REQUIRE(store.note_run({.device_serial = "S1"}));
    REQUIRE(store.add_recording({.person = bench.person, .name = "one", .file_path = "/r/1"}));
    REQUIRE(store.add_recording({.person = bench.person, .name = "two", .file_path = "/r/2"}));
    const auto files = store.remove_person(bench.person);
    CHECK(files.value() == std::vector<std::string>{"/r/1", "/r/2"});
    CHECK(store.people()->empty());
    CHECK(code_of(store.profile(bench.profile)) == Errc::not_found);
    CHECK(code_of(store.load(bench.profile)) == Errc::not_found);
    CHECK(code_of(store.load_revision(revision)) == Errc::not_found);
    CHECK(code_of(store.recordings(bench.person)) == Errc::not_found);
    const auto runs = store.runs("S1", 10);
    REQUIRE(runs->size() == 1);  // the one of nobody's profile
    CHECK_FALSE(runs->front().profile);
    const auto next = store.add_person("volunteer");
    CHECK(next->id > bench.person);
    CHECK(store.add_profile(next->id, profile::sample())->id > bench.profile);
}

TEST_CASE("people: removing one of 2 leaves the other whole") {
    Bench bench;
    Store& store = *bench.store;
    const auto other = store.add_person("visitor")->id;
    const auto kept = store.add_profile(other, sample_with(50));
    REQUIRE(kept);
    REQUIRE(store.note_run({.device_serial = "S1", .profile = kept->id}));
    REQUIRE(store.remove_person(bench.person));
    CHECK(store.people()->size() == 1);
    CHECK(store.profiles(other)->front() == *kept);
    CHECK(store.load(kept->id)->rule_sets == sample_with(50).rule_sets);
    CHECK(store.runs("S1", 10)->size() == 1);
}

}  // namespace
}  // namespace fettle::store
