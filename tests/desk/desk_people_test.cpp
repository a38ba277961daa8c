// People and their profiles: made, copied, renamed, removed, compared, taken in and given out.

#include <doctest/doctest.h>

#include <filesystem>
#include <fstream>

#include "app/words/action_words.hpp"
#include "core/profile/document.hpp"
#include "tests/desk/desk_rig.hpp"
#include "tests/profile/sample.hpp"

using namespace fettle;
using namespace fettle::app;
using namespace fettle::app::test;

namespace {

void see(DeskRig& rig, Order order) {
    rig.take_and_see(std::move(order));
    rig.keeper->refresh();
}

std::vector<std::string> names(const Desk& desk) {
    std::vector<std::string> all;
    for (const auto& one : desk.people.profiles) all.push_back(one.name);
    return all;
}

}  // namespace

TEST_CASE("desk: people are added, renamed, removed; a name twice and a name of spaces say why not") {
    DeskRig rig;
    see(rig, order::AddPerson{"Volunteer at the library"});
    REQUIRE(rig.desk().people.persons.size() == 2);
    see(rig, order::AddPerson{"Volunteer at the library"});
    CHECK(rig.desk().people.persons.size() == 2);
    CHECK(rig.desk().notice->kind == Notice::Kind::problem);
    see(rig, order::AddPerson{"   "});
    CHECK(rig.desk().people.persons.size() == 2);
    see(rig, order::RenamePerson{2, "Volunteer"});
    CHECK(rig.desk().people.persons[1].name == "Volunteer");
    see(rig, order::RemovePerson{2});
    CHECK(rig.desk().people.persons.size() == 1);
    CHECK(rig.desk().people.person == 1);
}

TEST_CASE("desk: profiles are made from each demo, copied, renamed; the edited one follows its name") {
    DeskRig rig;
    for (const char* asset : {"volunteer", "one_switch", "stick_and_tube", ""}) {
        see(rig, order::NewProfile{1, std::string("From ") + asset, asset});
        CHECK(rig.profile().name == std::string("From ") + asset);
        CHECK(rig.desk().editing.undo.empty());
    }
    CHECK(rig.desk().people.profiles.size() == 5);
    see(rig, order::NewProfile{1, "From nothing", "no_such"});
    CHECK(rig.desk().people.profiles.size() == 5);
    CHECK(rig.desk().notice->kind == Notice::Kind::problem);
    see(rig, order::OpenProfile{2});
    rig.take_and_see(edit::SetModeLabel{"far", "Wide"});
    see(rig, order::CopyProfile{2, "Copy"});
    CHECK(rig.profile().name == "Copy");
    CHECK(rig.profile().modes[0].label == "Wide");
    CHECK(rig.profile().id != rig.store->load(2)->id);
    rig.take_and_see(edit::SetModeLabel{"far", "Far"});
    see(rig, order::RenameProfile{*rig.desk().editing.entry, "Copy for winter"});
    CHECK(rig.profile().name == "Copy for winter");
    rig.take(order::Undo{});
    CHECK(rig.profile().name == "Copy for winter");
    see(rig, order::Save{});
    CHECK(rig.store->load(*rig.desk().editing.entry)->name == "Copy for winter");
}

TEST_CASE("desk: another profile is opened; the edits of the one before are saved, none crosses over") {
    DeskRig rig;
    see(rig, order::NewProfile{1, "Second", "one_switch"});
    see(rig, order::OpenProfile{1});
    rig.take(edit::SetModeLabel{"far", "Mine"});
    rig.take(order::OpenProfile{2});
    rig.keeper->refresh();
    rig.keeper->refresh();
    CHECK(rig.profile().name == "Second");
    CHECK(rig.desk().editing.undo.empty());
    CHECK(rig.store->load(1)->modes[0].label == "Mine");
    CHECK(rig.store->load(2)->modes == profile::parse(profile::asset("one_switch"))->modes);
    CHECK(rig.store->settings()->count("draft.1") == 0);
    see(rig, order::OpenProfile{99});
    CHECK(rig.profile().name == "Second");
    CHECK(rig.notice() == "profile was not found: 99.");
}

TEST_CASE("desk: the profile that was open last is open at the next start") {
    fettle::test::Folder folder;
    const DeskOptions options{.store_path = folder / "people.db"};
    {
        DeskRig rig(options);
        see(rig, order::NewProfile{1, "Second", "one_switch"});
        see(rig, order::NewProfile{1, "Third", "one_switch"});
        see(rig, order::OpenProfile{2});
    }
    DeskRig again(options);
    CHECK(again.profile().name == "Second");
    CHECK(again.desk().people.persons.size() == 1);
    see(again, order::RemoveProfile{2});
    CHECK(again.profile().name == volunteer().name);
    DeskRig third(options);
    CHECK(third.profile().name == volunteer().name);
}

TEST_CASE("desk: the last profile and the last person may go; orders then say what is missing") {
    DeskRig rig;
    rig.take_and_see(edit::SetModeLabel{"far", "Gone"});
    see(rig, order::RemoveProfile{1});
    CHECK(rig.desk().people.profiles.empty());
    CHECK_FALSE(rig.desk().editing.entry.has_value());
    CHECK(rig.desk().editing.compiled.has_value());
    see(rig, edit::SetModeLabel{rig.profile().modes[0].name, "Here"});
    see(rig, order::Save{});
    see(rig, order::RemovePerson{1});
    CHECK(rig.desk().people.persons.empty());
    CHECK(rig.store->settings()->count("draft.1") == 0);
    rig.take_and_see(order::ImportLook{FETTLE_ROOT "/assets/profiles/volunteer.json"});
    see(rig, order::ImportAccept{});
    CHECK(rig.notice() == "Nobody is there yet. Add a person first.");
}

TEST_CASE("desk: a person goes with profiles, drafts and recording files") {
    DeskRig rig;
    rig.connect();
    rig.take(order::RecordBegin{false});
    rig.run_ms(1500);
    see(rig, order::RecordSave{"Mine"});
    REQUIRE(rig.desk().recording.kept.size() == 1);
    const std::string path = rig.desk().recording.kept[0].file_path;
    CHECK(std::filesystem::exists(path));
    rig.take_and_see(edit::SetModeLabel{"far", "Mine"});
    CHECK(rig.store->settings()->count("draft.1") == 1);
    see(rig, order::RemovePerson{1});
    CHECK_FALSE(std::filesystem::exists(path));
    CHECK(rig.store->settings()->count("draft.1") == 0);
    CHECK(rig.desk().recording.kept.empty());
    rig.check_ends_released();
}

TEST_CASE("desk: a file is looked at first, accepted as another profile, with a free name") {
    DeskRig rig;
    const std::string path = FETTLE_ROOT "/assets/profiles/volunteer.json";
    see(rig, order::ImportLook{path});
    REQUIRE(rig.desk().people.looked_at.has_value());
    CHECK(rig.desk().people.looked_at_path == path);
    CHECK_FALSE(everything_it_can_send(*rig.desk().people.looked_at).empty());
    CHECK(rig.desk().people.profiles.size() == 1);
    see(rig, order::ImportForget{});
    CHECK_FALSE(rig.desk().people.looked_at.has_value());
    see(rig, order::ImportLook{path});
    see(rig, order::ImportAccept{});
    CHECK(names(rig.desk()) == std::vector<std::string>{volunteer().name, volunteer().name + " 2"});
    CHECK(rig.desk().editing.is_foreign);
    CHECK(rig.desk().people.revisions[0].kind == store::RevisionKind::imported);
    CHECK(rig.desk().people.revisions[0].note == "volunteer.json");
    see(rig, order::CopyProfile{2, "A copy"});
    CHECK(rig.desk().editing.is_foreign);
}

TEST_CASE("desk: profile files cut at each twentieth, foreign or missing: a sentence, nothing changed") {
    DeskRig rig;
    const auto before = rig.profile();
    const std::string whole = profile::asset("volunteer"), path = rig.folder / "cut.json";
    for (std::size_t part = 0; part < 20; ++part) {
        CAPTURE(part);
        std::ofstream(path) << whole.substr(0, whole.size() * part / 20);
        rig.notice();
        see(rig, order::ImportLook{path});
        REQUIRE(rig.desk().notice.has_value());
        CHECK(rig.desk().notice->words.find(path) != std::string::npos);
        CHECK_FALSE(rig.desk().people.looked_at.has_value());
    }
    see(rig, order::ImportLook{rig.folder / "none.json"});
    CHECK(rig.notice() == rig.folder / "none.json" + " was not found: No such file or directory.");
    see(rig, order::ImportLook{rig.folder.path()});
    CHECK(rig.desk().notice->kind == Notice::Kind::problem);
    see(rig, order::ImportAccept{});
    CHECK(rig.profile() == before);
    CHECK(rig.desk().people.profiles.size() == 1);
}

TEST_CASE("desk: an earlier revision comes back as an edit, and goes again with undo") {
    DeskRig rig;
    const auto first = rig.profile();
    rig.take_and_see(edit::SetModeLabel{"far", "Wide"});
    see(rig, order::Save{});
    const auto wide = rig.profile();
    rig.take_and_see(edit::RemoveInput{"up"});
    see(rig, order::Save{});
    REQUIRE(rig.desk().people.revisions.size() == 3);
    see(rig, order::RestoreRevision{rig.desk().people.revisions[2].id});
    CHECK(rig.profile() == first);
    CHECK(rig.notice() == "The earlier revision is back. Undo takes it away again.");
    see(rig, order::Save{});
    CHECK(rig.desk().people.revisions[0].kind == store::RevisionKind::restored);
    rig.take(order::Undo{});
    rig.take(order::Undo{});
    CHECK(rig.profile() == wide);
    see(rig, order::RestoreRevision{999});
    CHECK(rig.notice() == "revision was not found.");
}

TEST_CASE("desk: two profiles side by side; the comparison ends with 0") {
    DeskRig rig;
    see(rig, order::NewProfile{1, "Second", "one_switch"});
    see(rig, order::CompareWith{1});
    REQUIRE(rig.desk().people.compared.has_value());
    CHECK(rig.desk().people.compared->first == 1);
    CHECK(rig.desk().people.compared->second.modes == volunteer().modes);
    see(rig, order::CompareWith{0});
    CHECK_FALSE(rig.desk().people.compared.has_value());
    see(rig, order::CompareWith{42});
    CHECK_FALSE(rig.desk().people.compared.has_value());
    CHECK(rig.desk().notice->kind == Notice::Kind::problem);
}

TEST_CASE("desk: a profile is given out as a file that reads back equal; a person as one that can be read") {
    DeskRig rig;
    rig.take_and_see(edit::SetModeLabel{"far", "Wide"});
    see(rig, order::ExportProfile{rig.folder / "out.json"});
    CHECK(rig.notice() == "Written to " + (rig.folder / "out.json") + ".");
    CHECK(*profile::load_file(rig.folder / "out.json") == rig.profile());
    see(rig, order::ExportProfile{""});
    CHECK(std::filesystem::exists(rig.folder /
                                  "exports/Volunteer-five-way-remote-cheek-switch-foot-switch.json"));
    see(rig, order::ExportPerson{1, ""});
    CHECK(std::filesystem::exists(rig.folder / "exports/First-person.json"));
    see(rig, order::ExportProfile{"/nowhere/at/all.json"});
    CHECK(rig.desk().notice->kind == Notice::Kind::problem);
    see(rig, order::ExportPerson{7, ""});
    CHECK(rig.notice() == "person was not found.");
}
