// Edits on the desk: what follows from each, undo and redo, steps of one number, revisions and drafts.

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include "app/desk/edit_words.hpp"
#include "app/desk/options_text.hpp"
#include "core/profile/document.hpp"
#include "tests/desk/desk_rig.hpp"
#include "tests/desk/random_edit.hpp"

using namespace fettle;
using namespace fettle::app;
using namespace fettle::app::test;
using profile::GestureName;

namespace {

edit::Edit acceptance(const profile::Profile& p, int ms) {
    profile::RuleSet rules = p.rule_sets[1];
    rules.acceptance_ms = ms;
    return edit::PutRuleSet{rules, ""};
}
edit::Edit debounce(const profile::Profile& p, int ms) {
    profile::RuleSet rules = p.rule_sets[1];
    rules.debounce_ms = ms;
    return edit::PutRuleSet{rules, ""};
}

}  // namespace

TEST_CASE("desk: the first start has one person with the demo profile, in English and German") {
    DeskRig rig;
    REQUIRE(rig.desk().people.persons.size() == 1);
    CHECK(rig.desk().people.persons[0].name == "First person");
    REQUIRE(rig.desk().people.profiles.size() == 1);
    CHECK(rig.desk().editing.entry == rig.desk().people.profiles[0].id);
    CHECK(rig.profile().modes == volunteer().modes);
    CHECK(rig.desk().editing.compiled.has_value());
    CHECK(rig.desk().editing.changes.empty());
    CHECK(rig.desk().down.size() == 24);
}

TEST_CASE("desk: without a store everything but remembering works") {
    DeskRig rig({.has_store = false});
    CHECK(rig.profile().inputs.size() == 12);
    rig.take_and_see(acceptance(rig.profile(), 31));
    CHECK(rig.profile().rule_sets[1].acceptance_ms == 31);
    rig.take_and_see(order::AddPerson{"Somebody"});
    CHECK(rig.notice() ==
          "Nothing can be remembered: there is no place for it. Edits last as long as this window.");
    rig.take_and_see(order::Undo{});
    CHECK(rig.profile().rule_sets[1].acceptance_ms == 30);
}

TEST_CASE("desk: without assets the built-in profile is there") {
    DeskRig rig({.assets = "/nowhere"});
    CHECK_FALSE(rig.profile().modes.empty());
    CHECK(rig.desk().people.profiles.size() == 1);
    CHECK(rig.desk().editing.compiled.has_value());
}

TEST_CASE("desk: an edit brings findings, an image and changes anew; undo takes all three back") {
    DeskRig rig;
    const auto findings = rig.desk().editing.findings;
    const auto crc = rig.desk().editing.compiled->crc;
    for (const char* mode : {"far", "near"}) {
        CAPTURE(mode);
        rig.take(edit::SetAction{mode, "cheek", GestureName::short_press, {}});
        CHECK(rig.desk().editing.findings.size() > findings.size());
    }
    CHECK(rig.desk().editing.compiled->crc != crc);
    CHECK_FALSE(rig.desk().editing.changes.empty());
    CHECK(rig.desk().undo_words() == "cheek in near: nothing any more");
    rig.take(order::Undo{});
    rig.take(order::Undo{});
    CHECK(rig.desk().editing.findings == findings);
    CHECK(rig.desk().editing.compiled->crc == crc);
    CHECK(rig.desk().editing.changes.empty());
    CHECK(rig.desk().undo_words().empty());
    CHECK(rig.desk().redo_words() == "cheek in far: nothing any more");
}

TEST_CASE("desk: a refused edit changes nothing and says why") {
    DeskRig rig;
    const auto before = rig.profile();
    rig.take(edit::RemoveInput{"none"});
    CHECK(rig.profile() == before);
    CHECK(rig.desk().editing.undo.empty());
    CHECK(rig.notice() == "none was not found.");
    rig.take(acceptance(before, 5001));
    CHECK(rig.notice() == "/rule_sets/1/acceptance_ms is outside its range: 5001; allowed: 0 to 5000 ms.");
}

TEST_CASE("desk: twenty steps of one number within 2 s are one step of undo; after 2 s there are two") {
    DeskRig rig;
    for (int ms = 31; ms <= 50; ++ms) {
        rig.take(acceptance(rig.profile(), ms));
        rig.clock.add_ms(90);
    }
    CHECK(rig.desk().editing.undo.size() == 1);
    CHECK(rig.desk().undo_words() == "switches: acceptance 50 ms, was 30 ms");
    rig.clock.add_ms(1909);
    rig.take(acceptance(rig.profile(), 51));
    CHECK(rig.desk().editing.undo.size() == 1);
    rig.clock.add_ms(2000);
    rig.take(acceptance(rig.profile(), 52));
    CHECK(rig.desk().editing.undo.size() == 2);
    rig.take(order::Undo{});
    CHECK(rig.profile().rule_sets[1].acceptance_ms == 51);
    rig.take(order::Undo{});
    CHECK(rig.profile().rule_sets[1].acceptance_ms == 30);
}

TEST_CASE("desk: another field begins another step; a number that comes back leaves none") {
    DeskRig rig;
    rig.take(acceptance(rig.profile(), 31));
    rig.take(debounce(rig.profile(), 81));
    rig.take(acceptance(rig.profile(), 32));
    CHECK(rig.desk().editing.undo.size() == 3);
    rig.clock.add_ms(3000);
    const auto before = rig.profile();
    rig.take(debounce(rig.profile(), 90));
    rig.take(debounce(rig.profile(), 81));
    CHECK(rig.desk().editing.undo.size() == 3);
    CHECK(rig.profile() == before);
}

TEST_CASE("desk: any list of edits, all undone, gives the first profile; all redone, the last") {
    const bool held = rc::check([] {
        DeskRig rig({.has_store = false});
        const profile::Profile first = rig.profile();
        std::vector<profile::Profile> passed{first};
        for (int i = 0; i < 15; ++i) {
            rig.take(random_edit(rig.profile()));
            rig.clock.add_ms(profile::draw(0, 3) * 1000);
            if (rig.desk().editing.undo.size() == passed.size()) passed.push_back(rig.profile());
        }
        const profile::Profile last = rig.profile();
        const std::size_t steps = rig.desk().editing.undo.size();
        for (std::size_t i = 0; i < steps; ++i) rig.take(order::Undo{});
        RC_ASSERT(rig.profile() == first);
        RC_ASSERT(rig.desk().editing.changes.empty());
        RC_ASSERT(rig.desk().editing.undo.empty());
        for (std::size_t i = 0; i < steps; ++i) rig.take(order::Redo{});
        RC_ASSERT(rig.profile() == last);
        RC_ASSERT(rig.desk().editing.redo.empty());
    });
    CHECK(held);
}

TEST_CASE("desk: a pause of 2 s makes one revision of many steps; its note says what was done") {
    DeskRig rig;
    const std::size_t before = rig.desk().people.revisions.size();
    for (int ms = 31; ms <= 40; ++ms) {
        rig.take_and_see(acceptance(rig.profile(), ms));
        rig.clock.add_ms(100);
    }
    CHECK_FALSE(rig.desk().editing.is_saved);
    CHECK(rig.desk().people.revisions.size() == before);
    rig.clock.add_ms(2000);
    rig.keeper->refresh();
    rig.keeper->refresh();
    CHECK(rig.desk().editing.is_saved);
    REQUIRE(rig.desk().people.revisions.size() == before + 1);
    CHECK(rig.desk().people.revisions[0].note == "switches: acceptance 40 ms, was 30 ms");
    CHECK(rig.store->load(*rig.desk().editing.entry)->rule_sets[1].acceptance_ms == 40);
    rig.clock.add_ms(60000);
    rig.keeper->refresh();
    CHECK(rig.desk().people.revisions.size() == before + 1);
}

TEST_CASE("desk: ten undos in a row are one revision, whose content is the first profile") {
    DeskRig rig;
    const auto first = rig.profile();
    for (int i = 0; i < 10; ++i) rig.take_and_see(edit::AddMode{{"m" + std::to_string(i), "", {}}});
    rig.take_and_see(order::Save{});
    CHECK(rig.notice() == "Saved.");
    const std::size_t before = rig.desk().people.revisions.size();
    CHECK(before == 11);
    for (int i = 0; i < 10; ++i) rig.take_and_see(order::Undo{});
    rig.take_and_see(order::Save{});
    rig.keeper->refresh();
    CHECK(rig.desk().people.revisions.size() == before + 1);
    CHECK(*rig.store->load(*rig.desk().editing.entry) == first);
}

TEST_CASE("desk: killed after any of 12 edits, the next start has every edit that was seen by the worker") {
    for (int edits = 1; edits <= 12; ++edits) {
        CAPTURE(edits);
        fettle::test::Folder folder;
        profile::Profile left;
        {
            DeskRig rig({.store_path = folder / "people.db"});
            for (int i = 0; i < edits; ++i) {
                rig.take_and_see(acceptance(rig.profile(), 31 + i));
                rig.clock.add_ms(i % 4 == 3 ? 2500 : 100);
            }
            left = rig.profile();
        }  // the worker never runs again: what it had not done is not done
        DeskRig again({.store_path = folder / "people.db"});
        CHECK(again.profile() == left);
        CHECK(*again.store->load(*again.desk().editing.entry) == left);
        CHECK(again.store->settings()->count("draft.1") == 0);
    }
}

TEST_CASE("desk: a store that stops working says so, and the edits stay on the desk") {
    fettle::test::Folder folder;
    DeskRig rig({.store_path = folder / "people.db"});
    rig.take_and_see(acceptance(rig.profile(), 31));
    // Another program holds the file from now on.
    auto other = store::Store::open(folder / "people.db", rig.clock, {.busy_timeout_ms = 0});
    REQUIRE(other.has_value());
    REQUIRE((*other)->remove_profile(*rig.desk().editing.entry).has_value());
    rig.take_and_see(debounce(rig.profile(), 99));
    rig.take_and_see(order::Save{});
    rig.keeper->refresh();
    CHECK(rig.notice() == "profile was not found: 1.");
    CHECK_FALSE(rig.desk().editing.is_saved);
    CHECK(rig.profile().rule_sets[1].debounce_ms == 99);
    CHECK(rig.desk().editing.undo.size() == 2);
}

TEST_CASE("desk: options are remembered; what is unknown or out of range is left out") {
    fettle::test::Folder folder;
    ui::Options options;
    options.language = Language::german;
    options.scale_percent = 250;
    options.scans = true;
    options.lit_ms = 900;
    {
        DeskRig rig({.store_path = folder / "people.db"});
        rig.take_and_see(order::SetOptions{options});
        CHECK(rig.desk().options == options);
    }
    DeskRig again({.store_path = folder / "people.db"});
    CHECK(again.desk().options == options);
    CHECK(options_from(options_text(options)) == options);
    CHECK(options_from("scale_percent=301\nnew_thing=3\nlit_ms=\nscans\nscan_rounds=5x\n") == ui::Options{});
}
