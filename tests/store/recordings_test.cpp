#include "tests/store/fixture.hpp"

namespace fettle::store {
namespace {

TEST_CASE("recordings: 2 are listed newest first with all they say; a rename and a removal show") {
    Bench bench;
    Store& store = *bench.store;
    const auto first = store.add_recording({.person = bench.person,
                                            .profile = bench.profile,
                                            .name = "morning",
                                            .file_path = "/data/1.trace",
                                            .duration_ms = 61000,
                                            .has_usages = true});
    bench.clock.advance_ms(7);
    const auto second =
        store.add_recording({.person = bench.person, .name = "noon", .file_path = "/data/2.trace"});
    REQUIRE(first);
    REQUIRE(second);
    CHECK(first->at_ms == k_start_ms);
    CHECK(second->at_ms == k_start_ms + 7);
    CHECK(store.recordings(bench.person).value() == std::vector<RecordingEntry>{*second, *first});
    REQUIRE(store.rename_recording(first->id, "early"));
    CHECK(store.recordings(bench.person)->back().name == "early");
    CHECK(store.recordings(bench.person)->front() == *second);
    REQUIRE(store.remove_recording(second->id));
    REQUIRE(store.recordings(bench.person)->size() == 1);
    CHECK(store.recordings(bench.person)->front().has_usages);
    CHECK(store.recordings(bench.person)->front().duration_ms == 61000);
}

TEST_CASE("recordings: 8 calls that cannot be are refused and change nothing") {
    Bench bench;
    Store& store = *bench.store;
    const RecordingEntry good{.person = bench.person, .name = "one", .file_path = "/r"};
    RecordingEntry bad = good;
    bad.person = 99;
    CHECK(code_of(store.add_recording(bad)) == Errc::not_found);
    bad = good;
    bad.profile = 99;
    CHECK(code_of(store.add_recording(bad)) == Errc::not_found);
    bad = good;
    bad.name = "";
    CHECK(code_of(store.add_recording(bad)) == Errc::out_of_range);
    bad = good;
    bad.file_path = "";
    CHECK(code_of(store.add_recording(bad)) == Errc::out_of_range);
    bad.file_path = std::string(4097, 'p');
    CHECK(code_of(store.add_recording(bad)) == Errc::too_large);
    bad = good;
    bad.duration_ms = -1;
    CHECK(code_of(store.add_recording(bad)) == Errc::out_of_range);
    CHECK(code_of(store.rename_recording(99, "x")) == Errc::not_found);
    CHECK(code_of(store.remove_recording(99)) == Errc::not_found);
    CHECK(store.recordings(bench.person)->empty());
}

}  // namespace
}  // namespace fettle::store
