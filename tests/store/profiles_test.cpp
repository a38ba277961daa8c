#include <algorithm>

#include "tests/store/fixture.hpp"

namespace fettle::store {
namespace {

TEST_CASE("profiles: one that is added comes back equal, and its entry says what is in it") {
    Bench bench;
    const auto entry = bench.store->profile(bench.profile);
    CHECK(entry->person == bench.person);
    CHECK(entry->name == profile::sample().name);
    CHECK(entry->profile_id == profile::sample().id);
    CHECK(entry->version == 513);
    CHECK(entry->changed_ms == k_start_ms);
    CHECK(bench.store->load(bench.profile).value() == profile::sample());
    CHECK(bench.store->profiles(bench.person).value() == std::vector<ProfileEntry>{*entry});
}

TEST_CASE("profiles: the tree's 4 documents are kept and come back equal") {
    Bench bench;
    for (const char* name : profile::k_asset_names) {
        CAPTURE(name);
        const auto document = profile::parse(profile::asset(name));
        REQUIRE(document);
        const auto entry =
            bench.store->add_profile(bench.person, *document, RevisionKind::imported, "a file");
        REQUIRE(entry);
        auto loaded = bench.store->load(entry->id).value();
        CHECK(loaded.id == entry->profile_id);
        loaded.id = document->id;  // an id that is taken or zero is replaced
        CHECK(loaded == *document);
        CHECK(bench.store->revisions(entry->id)->front().kind == RevisionKind::imported);
        CHECK(bench.store->revisions(entry->id)->front().note == "a file");
    }
    CHECK(bench.store->profiles(bench.person)->size() == 5);
}

TEST_CASE("profiles: the same document for 2 people has 2 ids, and the first keeps its own") {
    Bench bench;
    const auto other = bench.store->add_person("visitor")->id;
    const auto second = bench.store->add_profile(other, profile::sample());
    REQUIRE(second);
    CHECK(second->profile_id != profile::sample().id);
    CHECK(second->profile_id != profile::ProfileId{});
    CHECK(bench.store->load(second->id)->id == second->profile_id);
    CHECK(bench.store->find_profile(profile::sample().id).value()->id == bench.profile);
    CHECK(bench.store->find_profile(second->profile_id).value()->id == second->id);
    CHECK_FALSE(bench.store->find_profile({1, 2, 3}).value());
}

TEST_CASE("profiles: an id of 8 zeros is replaced, and 20 of them by 20 different ones") {
    Bench bench;
    std::vector<profile::ProfileId> ids;
    for (int i = 0; i < 20; ++i) {
        profile::Profile zero = profile::sample();
        zero.id = {};
        zero.name = "n" + std::to_string(i);
        ids.push_back(bench.store->add_profile(bench.person, zero)->profile_id);
    }
    std::sort(ids.begin(), ids.end());
    CHECK(std::adjacent_find(ids.begin(), ids.end()) == ids.end());
    CHECK(ids.front() != profile::ProfileId{});
}

TEST_CASE("profiles: a second one of a name is refused for one person, allowed for another") {
    Bench bench;
    const auto again = bench.store->add_profile(bench.person, sample_with(1));
    CHECK(code_of(again) == Errc::duplicate);
    CHECK(again.error().detail == profile::sample().name);
    CHECK(bench.store->profiles(bench.person)->size() == 1);
    const auto other = bench.store->add_person("visitor")->id;
    CHECK(bench.store->add_profile(other, sample_with(1)));
}

TEST_CASE("profiles: a copy has the content, another id, a history of 1, and lives its own life") {
    Bench bench;
    Store& store = *bench.store;
    REQUIRE(store.save(bench.profile, sample_with(70), RevisionKind::edited));
    const auto copy = store.copy_profile(bench.profile, bench.person, "copy");
    REQUIRE(copy);
    CHECK(copy->name == "copy");
    CHECK(copy->profile_id != profile::sample().id);
    auto loaded = store.load(copy->id).value();
    CHECK(loaded.name == "copy");
    CHECK(loaded.rule_sets == sample_with(70).rule_sets);
    REQUIRE(store.revisions(copy->id)->size() == 1);
    CHECK(store.revisions(copy->id)->front().kind == RevisionKind::copied);
    loaded.rule_sets[1].acceptance_ms = 90;
    REQUIRE(store.save(copy->id, loaded, RevisionKind::edited));
    CHECK(store.load(bench.profile)->rule_sets == sample_with(70).rule_sets);
    CHECK(code_of(store.copy_profile(bench.profile, bench.person, "copy")) == Errc::duplicate);
    CHECK(code_of(store.copy_profile(bench.profile, 9, "copy")) == Errc::not_found);
    CHECK(code_of(store.copy_profile(99, bench.person, "other")) == Errc::not_found);
}

TEST_CASE("profiles: a rename is a revision; to the same name it is none; to a taken name it is refused") {
    Bench bench;
    Store& store = *bench.store;
    bench.clock.advance_ms(5);
    REQUIRE(store.rename_profile(bench.profile, "desk"));
    CHECK(store.profile(bench.profile)->name == "desk");
    CHECK(store.profile(bench.profile)->changed_ms == k_start_ms + 5);
    CHECK(store.load(bench.profile)->name == "desk");
    CHECK(store.revisions(bench.profile)->front().kind == RevisionKind::renamed);
    REQUIRE(store.rename_profile(bench.profile, "desk"));
    CHECK(store.revisions(bench.profile)->size() == 2);
    REQUIRE(store.copy_profile(bench.profile, bench.person, "sofa"));
    CHECK(code_of(store.rename_profile(bench.profile, "sofa")) == Errc::duplicate);
    CHECK(store.load(bench.profile)->name == "desk");
    CHECK(store.revisions(bench.profile)->size() == 2);
    CHECK(code_of(store.rename_profile(99, "x")) == Errc::not_found);
}

TEST_CASE("profiles: a move takes history and device runs along, and makes no revision") {
    Bench bench;
    Store& store = *bench.store;
    const auto other = store.add_person("visitor")->id;
    REQUIRE(store.save(bench.profile, sample_with(70), RevisionKind::edited));
    REQUIRE(store.note_run({.device_serial = "S1", .profile = bench.profile}));
    const auto before = store.revisions(bench.profile).value();
    REQUIRE(store.move_profile(bench.profile, other));
    CHECK(store.profiles(bench.person)->empty());
    CHECK(store.profiles(other)->size() == 1);
    CHECK(store.revisions(bench.profile).value() == before);
    CHECK(store.runs("S1", 1)->front().person == other);
    REQUIRE(store.remove_person(bench.person));
    CHECK(store.load(bench.profile).value() == sample_with(70));
    CHECK(store.runs("S1", 10)->size() == 1);
}

TEST_CASE("profiles: a move to whom has one of that name is refused, to the same person it is nothing") {
    Bench bench;
    Store& store = *bench.store;
    const auto other = store.add_person("visitor")->id;
    REQUIRE(store.add_profile(other, profile::sample()));
    CHECK(code_of(store.move_profile(bench.profile, other)) == Errc::duplicate);
    CHECK(store.profile(bench.profile)->person == bench.person);
    CHECK(store.move_profile(bench.profile, bench.person));
    CHECK(code_of(store.move_profile(99, other)) == Errc::not_found);
}

TEST_CASE("profiles: one that is removed is gone with its revisions; runs and recordings stay without it") {
    Bench bench;
    Store& store = *bench.store;
    const auto revision = store.profile(bench.profile)->latest_revision;
    REQUIRE(store.note_run({.device_serial = "S1", .profile = bench.profile, .revision = revision}));
    REQUIRE(store.add_recording(
        {.person = bench.person, .profile = bench.profile, .name = "one", .file_path = "/r"}));
    REQUIRE(store.remove_profile(bench.profile));
    CHECK(store.profiles(bench.person)->empty());
    CHECK(code_of(store.load_revision(revision)) == Errc::not_found);
    CHECK(code_of(store.revisions(bench.profile)) == Errc::not_found);
    const auto runs = store.runs("S1", 10).value();
    REQUIRE(runs.size() == 1);
    CHECK(runs[0].profile_name == profile::sample().name);
    CHECK(runs[0].person == bench.person);
    CHECK_FALSE(runs[0].profile);
    CHECK_FALSE(runs[0].revision);
    CHECK_FALSE(store.recordings(bench.person)->front().profile);
    CHECK(code_of(store.remove_profile(bench.profile)) == Errc::not_found);
    // Its name and its id are free again.
    CHECK(store.add_profile(bench.person, profile::sample())->profile_id == profile::sample().id);
}

}  // namespace
}  // namespace fettle::store
