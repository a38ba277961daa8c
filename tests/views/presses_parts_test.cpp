// The Presses screen with the real desk on the simulated device: what is pressed there is counted, listed,
// recorded, saved, opened and exported here.
#include <doctest/doctest.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <filesystem>
#include <set>

#include "app/views/presses_times_data.hpp"
#include "core/profile/records.hpp"
#include "tests/plot/drawn.hpp"
#include "tests/views/sitting.hpp"

namespace fettle::app::test {
namespace {

/// Gone with everything in it when the test is over.
struct Folder {
    Folder() {
        std::string name = std::filesystem::temp_directory_path() / "fettle-presses-XXXXXX";
        path = ::mkdtemp(name.data());
    }
    ~Folder() { std::filesystem::remove_all(path); }
    Folder(const Folder&) = delete;
    Folder& operator=(const Folder&) = delete;
    std::string path;
};

void show_part(Sitting& sitting, PressesPart part) {
    sitting.show(Screen::presses);
    sitting.view_state().presses.part = part;
    sitting.bench->settle();
}

/// A hand of the simulated room that no screen's control belongs to.
void hand(Sitting& sitting, const profile::InputSource& source, std::uint32_t ms) {
    sitting.order(Ask{ask::Hand{source, true, ms}});
    sitting.wait_ms(ms + 600);
}

const profile::InputSource& source_of(Sitting& sitting, const std::string& input) {
    const auto* found = profile::find_named(sitting.desk().editing.profile.inputs, input);
    REQUIRE(found != nullptr);
    return found->source;
}

void push(Sitting& sitting) {
    order::Try wanted{600, true, {}};
    for (const auto& finding : sitting.desk().editing.findings)
        wanted.accepted.emplace_back(profile::finding_name(finding.kind));
    sitting.order(wanted);
    REQUIRE(sitting.wait_until([&] { return sitting.desk().is_on_device(); }));
}

std::string shown(Sitting& sitting, const std::string& id) {
    const ui::Control* control = sitting.bench->find(id);
    REQUIRE_MESSAGE(control != nullptr, id);
    return control->role == ui::Role::text ? control->label : control->value;
}

TEST_CASE(
    "times: presses of 20, 100 and 200 ms on the device are told as measure tells them, and taken over") {
    Sitting sitting;
    REQUIRE(sitting.wait_live());
    push(sitting);
    for (const std::uint32_t ms : {20u, 100u, 200u}) hand(sitting, source_of(sitting, "foot"), ms);
    show_part(sitting, PressesPart::times);
    const auto& names = sitting.desk().names.inputs;
    const auto foot =
        static_cast<std::uint8_t>(std::find(names.begin(), names.end(), "foot") - names.begin());
    sitting.view_state().presses.times.input = foot;
    sitting.wait_ms(1500);
    profile::RuleSet rules = *profile::find_named(sitting.desk().editing.profile.rule_sets, "switches");
    CHECK(rules.acceptance_ms == 30);
    CHECK(shown(sitting, "times.count.accepted") == "2; with the lines 2");
    CHECK(shown(sitting, "times.count.too_short") == "1; with the lines 1");

    REQUIRE(sitting.bench->work("times.held"));
    for (int i = 0; i < 9; ++i) sitting.bench->press(ui::Key::right, true);  // 120 ms
    const auto levels = measure::recorded_levels(sitting.desk().roll, foot, -trace::k_farthest_us,
                                                 trace::k_farthest_us + 1, device_rules(sitting.desk()));
    rules.acceptance_ms = 120;
    const auto there = measure::what_if(levels, profile::rule_def(rules), 0);
    CHECK(there.accepted == 1);
    CHECK(shown(sitting, "times.count.accepted") == "2; with the lines " + std::to_string(there.accepted));
    sitting.bench->press(ui::Key::escape);
    REQUIRE(sitting.bench->work("times.take"));
    CHECK(profile::find_named(sitting.desk().editing.profile.rule_sets, "switches")->acceptance_ms == 120);
    CHECK(shown(sitting, "times.count.accepted") == "1; with the lines 1");
    REQUIRE(sitting.bench->work("undo"));
    CHECK(profile::find_named(sitting.desk().editing.profile.rule_sets, "switches")->acceptance_ms == 30);
    CHECK(shown(sitting, "times.count.accepted") == "2; with the lines 2");
}

TEST_CASE("room test: two codes of a stranger, one button of ours and nothing else are listed, by keyboard") {
    Sitting sitting;
    REQUIRE(sitting.wait_live());
    push(sitting);
    show_part(sitting, PressesPart::room);
    REQUIRE(sitting.bench->work("room.begin"));
    REQUIRE(sitting.wait_until([&] { return sitting.desk().room_test.is_on; }));
    hand(sitting, profile::Infrared{profile::Protocol::nec, 0x31, 0x41, 0, 0}, 50);
    hand(sitting, profile::Infrared{profile::Protocol::nec, 0x31, 0x42, 0, 0}, 300);
    hand(sitting, source_of(sitting, "select"), 50);
    CHECK(sitting.bench->find("room.left") != nullptr);
    REQUIRE(sitting.bench->work("room.end"));
    sitting.wait_ms(1200);
    CHECK(sitting.bench->find("room.left") == nullptr);
    CHECK(shown(sitting, "room.verdict").starts_with("Codes that this profile does not obey: 2."));
    std::set<std::string> heard;
    for (const ui::Control& control : sitting.ui().registry().controls)
        if (control.id.starts_with("room.code."))
            heard.insert(control.value.substr(control.value.rfind(": ") + 2));
    CHECK(heard.size() == 2);
    CHECK(heard.contains("no input obeys it"));
    CHECK_MESSAGE(heard.contains("select"), sitting.bench->dump());
    CHECK(shown(sitting, "room.noise") == "0 bursts, 0 edges");
}

TEST_CASE(
    "room test: what was heard last before its end is listed, though the device told nothing after it") {
    Sitting sitting;
    REQUIRE(sitting.wait_live());
    show_part(sitting, PressesPart::room);
    REQUIRE(sitting.bench->work("room.begin"));
    REQUIRE(sitting.wait_until([&] { return sitting.desk().room_test.is_on; }));
    hand(sitting, profile::Infrared{profile::Protocol::nec, 0x31, 0x41, 0, 0}, 50);
    REQUIRE(sitting.bench->work("room.end"));
    sitting.wait_ms(1200);
    CHECK(shown(sitting, "room.verdict").starts_with("Codes that this profile does not obey: 1."));
}

TEST_CASE("room test: ends by itself after a minute, and a quiet room is a sentence") {
    Sitting sitting;
    REQUIRE(sitting.wait_live());
    show_part(sitting, PressesPart::room);
    REQUIRE(sitting.bench->work("room.begin"));
    CHECK(sitting.wait_until([&] { return sitting.desk().room_test.is_on; }));
    CHECK(sitting.wait_until([&] { return !sitting.desk().room_test.is_on; }, 70'000));
    sitting.wait_ms(1500);
    CHECK(shown(sitting, "room.verdict") == "The room is quiet: nothing was heard.");
}

TEST_CASE("recordings: begun, ended, named, saved, opened, looked at, closed, exported, by keyboard alone") {
    const Folder folder;
    SittingWish wish;
    wish.data_folder = folder.path;
    Sitting sitting(wish);
    REQUIRE(sitting.wait_live());
    show_part(sitting, PressesPart::recordings);
    REQUIRE(sitting.bench->work("record.begin"));
    CHECK(sitting.desk().recording.is_on);
    CHECK_FALSE(sitting.desk().recording.with_usages);
    hand(sitting, source_of(sitting, "select"), 80);
    CHECK(shown(sitting, "record.now").starts_with("A recording runs: "));
    REQUIRE(sitting.bench->work("record.end"));
    REQUIRE(sitting.desk().recording.done);
    const std::size_t events = sitting.desk().recording.done->size();
    CHECK(sitting.bench->find("record.begin")->is_enabled == false);
    sitting.wait_ms(1200);
    CHECK(shown(sitting, "record.contents").find("It contains " + std::to_string(events) + " events") == 0);
    CHECK(shown(sitting, "record.contents").find("Which keys were sent is not in it") != std::string::npos);

    CHECK(sitting.bench->find("record.save")->is_enabled == false);
    REQUIRE(sitting.bench->work("record.name"));
    sitting.bench->type("tired");
    sitting.bench->press(ui::Key::enter);
    REQUIRE(sitting.bench->work("record.save"));
    REQUIRE(sitting.wait_until([&] { return sitting.desk().recording.kept.size() == 1; }));
    const store::RecordingEntry kept = sitting.desk().recording.kept[0];
    CHECK(kept.name == "tired");
    CHECK(std::filesystem::exists(kept.file_path));

    REQUIRE(sitting.bench->work("record." + std::to_string(kept.id) + ".open"));
    REQUIRE(sitting.wait_until([&] { return sitting.desk().recording.opened != nullptr; }));
    CHECK(sitting.desk().shown_roll().size() == events);
    CHECK(sitting.bench->shows("You are looking at tired"));
    show_part(sitting, PressesPart::timeline);
    CHECK_FALSE(sitting.view_state().presses.timeline.follows);
    CHECK(sitting.view_state().presses.timeline.shown == "tired");
    show_part(sitting, PressesPart::recordings);
    REQUIRE(sitting.bench->work("record.csv"));
    REQUIRE(sitting.bench->work("record.vcd"));
    std::set<std::string> written;
    for (const auto& one : std::filesystem::directory_iterator(folder.path + "/exports"))
        written.insert(one.path().extension().string());
    CHECK(written == std::set<std::string>{".csv", ".vcd"});
    REQUIRE(sitting.bench->work("record.close"));
    CHECK(sitting.desk().recording.opened == nullptr);
}

TEST_CASE("recordings: key usages only after a yes, and what is not kept is asked about and gone") {
    Sitting sitting;
    REQUIRE(sitting.wait_live());
    show_part(sitting, PressesPart::recordings);
    REQUIRE(sitting.bench->work("record.begin_usages"));
    CHECK_FALSE(sitting.desk().recording.is_on);
    CHECK(sitting.bench->shows("passwords too"));
    sitting.bench->press(ui::Key::escape);
    CHECK_FALSE(sitting.desk().recording.is_on);
    sitting.order(order::RecordBegin{false});
    sitting.wait_ms(500);
    sitting.order(order::RecordEnd{});
    sitting.bench->settle();
    REQUIRE(sitting.desk().recording.done);
    REQUIRE(sitting.bench->work("record.forget"));
    CHECK(sitting.desk().recording.done != nullptr);
    CHECK(sitting.bench->shows("What was recorded is gone then"));
    sitting.bench->press(ui::Key::escape);
    CHECK(sitting.desk().recording.done != nullptr);
}

TEST_CASE("presses: German at 300 %, no control of any part is wider than its panel, nor beside it") {
    SittingWish wish;
    wish.scale_percent = 300;
    wish.language = Language::german;
    Sitting sitting(wish);
    REQUIRE(sitting.wait_live());
    push(sitting);
    hand(sitting, source_of(sitting, "cheek"), 100);
    sitting.order(order::RoomTestBegin{});
    hand(sitting, source_of(sitting, "select"), 50);
    sitting.order(order::RoomTestEnd{});
    for (const PressesPart part :
         {PressesPart::timeline, PressesPart::times, PressesPart::room, PressesPart::recordings}) {
        show_part(sitting, part);
        CAPTURE(static_cast<int>(part));
        const ui::Panel* panel = sitting.ui().registry().find_panel("content");
        REQUIRE(panel != nullptr);
        int count = 0;
        for (const ui::Control& control : sitting.ui().registry().controls) {
            if (control.panel != "content") continue;
            CAPTURE(control.id);
            CHECK(control.rect.x >= panel->rect.x);
            CHECK(control.rect.right() <= panel->rect.right() + 0.5f);
            ++count;
        }
        CHECK(count >= 10);
    }
}

}  // namespace
}  // namespace fettle::app::test
