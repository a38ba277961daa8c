// Recordings: consent, begin and end, files, exports, what is damaged or foreign.

#include <doctest/doctest.h>

#include <filesystem>
#include <fstream>
#include <iterator>

#include "tests/desk/desk_rig.hpp"

using namespace fettle;
using namespace fettle::app;
using namespace fettle::app::test;

namespace {

void record_something(DeskRig& rig, bool with_usages = false) {
    rig.take(order::RecordBegin{with_usages});
    rig.run_ms(300);
    rig.press(strange_button(3));
    rig.run_ms(1500);
    rig.take(order::RecordEnd{});
}

std::string content(const std::string& path) {
    std::ifstream file(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(file), {}};
}

std::vector<std::string> files_in(const std::string& folder) {
    std::vector<std::string> all;
    if (std::filesystem::exists(folder))
        for (const auto& one : std::filesystem::directory_iterator(folder))
            all.push_back(one.path().filename().string());
    return all;
}

}  // namespace

TEST_CASE("desk: a recording is begun, shown, ended, named, saved and opened again as it was") {
    DeskRig rig;
    rig.connect();
    rig.take(order::RecordBegin{false});
    CHECK(rig.desk().recording.is_on);
    CHECK(rig.desk().recording.began_us == rig.desk().device_us);
    rig.run_ms(300);
    rig.press(strange_button(3));
    CHECK(rig.desk().recording.events > 60);
    rig.take(order::RecordEnd{});
    CHECK_FALSE(rig.desk().recording.is_on);
    REQUIRE(rig.desk().recording.done);
    const auto done = rig.desk().recording.done;
    CHECK(done->size() >= rig.desk().recording.events);
    rig.take(order::RecordBegin{false});
    CHECK(rig.notice() == "The last recording is not saved yet. Save it, or close it first.");
    rig.take_and_see(order::RecordSave{"Tired hands, \xC3\xBC / 1"});
    rig.keeper->refresh();
    CHECK(rig.notice() == "The recording Tired hands, \xC3\xBC / 1 is saved.");
    CHECK_FALSE(rig.desk().recording.done);
    REQUIRE(rig.desk().recording.kept.size() == 1);
    const auto kept = rig.desk().recording.kept[0];
    CHECK(kept.file_path == rig.folder / "recordings/1970-01-01-Tired-hands-1.roll");
    CHECK(fettle::test::mode_of(kept.file_path) == 0600);
    CHECK(kept.duration_ms >= 300);
    CHECK_FALSE(kept.has_usages);
    CHECK(kept.profile == rig.desk().editing.entry);

    rig.take_and_see(order::RecordOpen{kept.file_path});
    REQUIRE(rig.desk().recording.opened);
    CHECK(rig.desk().recording.opened_name == "Tired hands, \xC3\xBC / 1");
    CHECK(&rig.desk().shown_roll() == rig.desk().recording.opened.get());
    CHECK(rig.desk().shown_roll().size() == done->size());
    CHECK(rig.desk().shown_names().inputs == rig.desk().names.inputs);
    rig.take(order::RecordClose{});
    CHECK(&rig.desk().shown_roll() == &rig.desk().roll);
    rig.check_ends_released();
}

TEST_CASE("desk: usages are agreed for one recording alone") {
    DeskRig rig;
    rig.connect();
    rig.take(order::RecordBegin{true});
    rig.run_ms(200);
    CHECK(rig.desk().device.usages_agreed);
    CHECK(rig.desk().recording.with_usages);
    rig.press(strange_button(3));
    rig.take(order::RecordEnd{});
    rig.run_ms(200);
    CHECK_FALSE(rig.desk().device.usages_agreed);
    CHECK(rig.desk().recording.done->info().has_usages);
    rig.take_and_see(order::RecordSave{"With keys"});
    rig.keeper->refresh();
    CHECK(rig.desk().recording.kept[0].has_usages);
    rig.check_ends_released();
}

TEST_CASE("desk: nothing to record without a device; nothing to save without a recording") {
    DeskRig rig;
    rig.take(order::RecordBegin{false});
    CHECK_FALSE(rig.desk().recording.is_on);
    CHECK(rig.notice() == "The device is gone. Look at the cable, then try again.");
    rig.take(order::RecordSave{"x"});
    CHECK(rig.notice() == "There is no recording to save.");
    rig.take(order::RecordExport{order::ExportForm::csv, ""});
    CHECK(rig.notice() == "Nothing was recorded.");
}

TEST_CASE("desk: a recording goes on over a pulled cable, with the gap in it") {
    DeskRig rig;
    rig.connect();
    rig.take(order::RecordBegin{false});
    rig.run_ms(500);
    rig.device->pull_cable();
    rig.run_ms(3000);
    CHECK(rig.desk().recording.is_on);
    rig.device->plug_cable();
    REQUIRE(rig.run_until([&] { return rig.desk().device.state == LinkState::live; }));
    rig.run_ms(1500);
    rig.take(order::RecordEnd{});
    REQUIRE(rig.desk().recording.done);
    CHECK(rig.desk().recording.done->count_of(trace::Wanted::telemetry_lost) >= 1);
    CHECK(rig.desk().recording.done->last_us() - rig.desk().recording.done->first_us() > 3'000'000);
    rig.check_ends_released();
}

TEST_CASE("desk: two recordings of one name get two files; renamed and removed, the file goes too") {
    DeskRig rig;
    rig.connect();
    for (int i = 0; i < 2; ++i) {
        record_something(rig);
        rig.take_and_see(order::RecordSave{"Same"});
        rig.keeper->refresh();
    }
    REQUIRE(rig.desk().recording.kept.size() == 2);
    CHECK(files_in(rig.folder / "recordings").size() == 2);
    const auto id = rig.desk().recording.kept[0].id;
    rig.take_and_see(order::RecordRename{id, "Another"});
    rig.keeper->refresh();
    CHECK(rig.desk().recording.kept[0].name == "Another");
    rig.take_and_see(order::RecordRemove{id});
    rig.keeper->refresh();
    CHECK(rig.desk().recording.kept.size() == 1);
    CHECK(files_in(rig.folder / "recordings").size() == 1);
    CHECK(rig.notice() == "Another is removed.");
    rig.take_and_see(order::RecordRemove{id});
    CHECK(rig.notice() == "recording was not found.");
    rig.check_ends_released();
}

TEST_CASE("desk: exports of a file, of what is unsaved and of what is live say what they contain") {
    DeskRig rig;
    rig.connect();
    rig.press(strange_button(3));
    rig.take(order::RecordExport{order::ExportForm::csv, rig.folder / "live.csv"});
    REQUIRE(rig.run_until([&] { return rig.desk().notice.has_value(); }));
    const std::string said = rig.notice();
    CHECK(said.starts_with("Written to " + (rig.folder / "live.csv") + ": "));
    CHECK(said.find("; key usages: 0 shown, ") != std::string::npos);
    CHECK(content(rig.folder / "live.csv").starts_with("time_us,kind,input,name,"));
    CHECK(fettle::test::mode_of(rig.folder / "live.csv") == 0600);
    record_something(rig);
    rig.notice();
    rig.take(order::RecordExport{order::ExportForm::vcd, ""});
    REQUIRE(rig.run_until([&] { return rig.desk().notice.has_value(); }));
    const auto exported = files_in(rig.folder / "exports");
    REQUIRE(exported.size() == 1);
    CHECK(exported[0].ends_with(".vcd"));
    CHECK(content(rig.folder / ("exports/" + exported[0])).find("$timescale 1 us $end") != std::string::npos);
    rig.notice();
    rig.take_and_see(order::RecordExport{order::ExportForm::csv, "/nowhere/at/all.csv"});
    CHECK(rig.notice() == "/nowhere/at/all.csv was not found: No such file or directory.");
    rig.check_ends_released();
}

TEST_CASE("desk: a recording file cut at any tenth, or another file, gives a sentence and changes nothing") {
    DeskRig rig;
    rig.connect();
    record_something(rig);
    rig.take_and_see(order::RecordSave{"Whole"});
    rig.keeper->refresh();
    const std::string whole = content(rig.desk().recording.kept[0].file_path);
    const std::string path = rig.folder / "cut.roll";
    for (std::size_t part = 0; part < 10; ++part) {
        CAPTURE(part);
        std::ofstream(path, std::ios::binary) << whole.substr(0, whole.size() * part / 10);
        rig.notice();
        rig.take_and_see(order::RecordOpen{path});
        CHECK(rig.desk().notice.has_value());
        CHECK(rig.desk().notice->kind == Notice::Kind::problem);
        CHECK_FALSE(rig.desk().recording.opened);
    }
    rig.take_and_see(order::RecordOpen{FETTLE_ROOT "/assets/profiles/volunteer.json"});
    CHECK(rig.desk().notice->kind == Notice::Kind::problem);
    rig.take_and_see(order::RecordOpen{rig.folder / "none.roll"});
    CHECK(rig.notice() == rig.folder / "none.roll" + " was not found: No such file or directory.");
    CHECK(&rig.desk().shown_roll() == &rig.desk().roll);
    rig.check_ends_released();
}

TEST_CASE("desk: a folder that cannot be written keeps the recording on the desk") {
    DeskRig rig;
    rig.connect();
    record_something(rig);
    std::ofstream(rig.folder / "recordings") << "a file where the folder should be";
    rig.take_and_see(order::RecordSave{"Kept here"});
    CHECK(rig.desk().notice->kind == Notice::Kind::problem);
    CHECK(rig.desk().recording.done);
    CHECK(rig.desk().recording.kept.empty());
    rig.take_and_see(order::RecordSave{"   "});
    CHECK(rig.desk().notice->kind == Notice::Kind::problem);
    CHECK(rig.desk().recording.done);
    rig.check_ends_released();
}
