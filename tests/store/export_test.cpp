#include <SQLiteCpp/Database.h>

#include <nlohmann/json.hpp>

#include "tests/store/fixture.hpp"

namespace fettle::store {
namespace {

using Json = nlohmann::json;

TEST_CASE("export: one person's 2 profiles, 4 revisions, 1 run and 1 recording, and nothing of another's") {
    Bench bench;
    Store& store = *bench.store;
    const auto visitor = store.add_person("visitor")->id;
    REQUIRE(store.add_profile(visitor, sample_with(99), RevisionKind::edited, "not to be seen"));
    REQUIRE(store.save(bench.profile, sample_with(10), RevisionKind::kept_on_device, "first \"keep\"\n"));
    REQUIRE(store.rename_profile(bench.profile, "desk"));
    const auto copy = store.copy_profile(bench.profile, bench.person, "sofa");
    REQUIRE(store.note_run({.device_serial = "S1",
                            .image_crc = 0x0000BEEF,
                            .profile = copy->id,
                            .revision = copy->latest_revision,
                            .kind = RunKind::trial_ran_out}));
    REQUIRE(store.note_run({.device_serial = "S1", .profile_name = "elsewhere"}));
    REQUIRE(store.add_recording(
        {.person = bench.person, .name = "one", .file_path = "/r\xFF", .duration_ms = 5}));
    bench.clock.advance_ms(100);

    const auto text = store.export_person(bench.person);
    if (!text) FAIL(text.error().where << " " << text.error().detail);
    const Json all = Json::parse(*text);
    CHECK(all["fettle_export"] == 1);
    CHECK(all["exported_ms"] == k_start_ms + 100);
    CHECK(all["person"] == Json{{"name", "volunteer"}, {"created_ms", k_start_ms}});
    REQUIRE(all["profiles"].size() == 2);
    CHECK(all["profiles"][0]["name"] == "desk");
    CHECK(all["profiles"][0]["profile_id"] == "1032547698badcfe");
    CHECK(all["profiles"][0]["version"] == 513);
    REQUIRE(all["profiles"][0]["revisions"].size() == 3);
    CHECK(all["profiles"][0]["revisions"][0]["kind"] == "edited");
    CHECK(all["profiles"][0]["revisions"][1]["kind"] == "kept_on_device");
    CHECK(all["profiles"][0]["revisions"][1]["note"] == "first \"keep\"\n");
    CHECK(all["profiles"][0]["revisions"][2]["kind"] == "renamed");
    CHECK(all["profiles"][1]["revisions"][0]["kind"] == "copied");
    CHECK(all["device_runs"] == Json::array({{{"device_serial", "S1"},
                                              {"image_crc", "0000beef"},
                                              {"profile_name", "sofa"},
                                              {"revision", copy->latest_revision},
                                              {"kind", "trial_ran_out"},
                                              {"at_ms", k_start_ms}}}));
    CHECK(all["recordings"] == Json::array({{{"name", "one"},
                                             {"file_path", "/r\xEF\xBF\xBD"},
                                             {"at_ms", k_start_ms},
                                             {"duration_ms", 5},
                                             {"has_usages", false}}}));
    CHECK(text->find("visitor") == std::string::npos);
    CHECK(text->find("not to be seen") == std::string::npos);
    CHECK(text->find("elsewhere") == std::string::npos);
}

TEST_CASE("export: each document in it is a profile file that reads back as it was saved") {
    Bench bench;
    REQUIRE(bench.store->save(bench.profile, sample_with(10), RevisionKind::edited));
    const Json all = Json::parse(bench.store->export_person(bench.person).value());
    const Json& revisions = all["profiles"][0]["revisions"];
    CHECK(profile::parse(revisions[0]["document"].dump()).value() == profile::sample());
    CHECK(profile::parse(revisions[1]["document"].dump()).value() == sample_with(10));
}

}  // namespace
}  // namespace fettle::store
