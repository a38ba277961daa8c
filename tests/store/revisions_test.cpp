#include <rapidcheck.h>

#include "tests/store/fixture.hpp"

namespace fettle::store {
namespace {

TEST_CASE("revisions: 3 saves are listed newest first, with kind, note and time, and each loads as it was") {
    Bench bench;
    Store& store = *bench.store;
    for (const int ms : {10, 20, 30}) {
        bench.clock.advance_ms(1000);
        const auto saved = store.save(bench.profile, sample_with(ms), RevisionKind::kept_on_device,
                                      "after " + std::to_string(ms));
        REQUIRE(saved);
        CHECK(saved->is_new);
    }
    const auto all = store.revisions(bench.profile).value();
    REQUIRE(all.size() == 4);
    CHECK(all[0].note == "after 30");
    CHECK(all[0].kind == RevisionKind::kept_on_device);
    CHECK(all[0].at_ms == k_start_ms + 3000);
    CHECK(all[3].kind == RevisionKind::edited);
    CHECK(all[3].at_ms == k_start_ms);
    CHECK(store.load_revision(all[0].id).value() == sample_with(30));
    CHECK(store.load_revision(all[1].id).value() == sample_with(20));
    CHECK(store.load_revision(all[2].id).value() == sample_with(10));
    CHECK(store.load_revision(all[3].id).value() == profile::sample());
    CHECK(store.load(bench.profile).value() == sample_with(30));
    CHECK(store.profile(bench.profile)->latest_revision == all[0].id);
    CHECK(store.profile(bench.profile)->changed_ms == all[0].at_ms);
}

TEST_CASE("revisions: the same content again makes no revision, whatever kind and note it is given") {
    Bench bench;
    const auto first = bench.store->save(bench.profile, sample_with(10), RevisionKind::edited, "a");
    bench.clock.advance_ms(1000);
    const auto second = bench.store->save(bench.profile, sample_with(10), RevisionKind::kept_on_device, "b");
    CHECK_FALSE(second->is_new);
    CHECK(second->revision == first->revision);
    CHECK(bench.store->revisions(bench.profile)->size() == 2);
}

TEST_CASE("revisions: content that went away and came back is 3 revisions, of equal CRC at both ends") {
    Bench bench;
    REQUIRE(bench.store->save(bench.profile, sample_with(10), RevisionKind::edited));
    REQUIRE(bench.store->save(bench.profile, profile::sample(), RevisionKind::edited));
    const auto all = bench.store->revisions(bench.profile).value();
    REQUIRE(all.size() == 3);
    CHECK(all[0].document_crc == all[2].document_crc);
    CHECK(all[0].document_crc != all[1].document_crc);
}

TEST_CASE("revisions: a restore brings the content back as a fourth revision and loses nothing") {
    Bench bench;
    Store& store = *bench.store;
    REQUIRE(store.save(bench.profile, sample_with(10), RevisionKind::edited));
    REQUIRE(store.rename_profile(bench.profile, "desk"));
    const auto first = store.revisions(bench.profile)->back();
    const auto restored = store.restore(first.id, "back");
    REQUIRE(restored);
    CHECK(restored->is_new);
    CHECK(restored->revision.kind == RevisionKind::restored);
    CHECK(restored->revision.note == "back");
    CHECK(store.revisions(bench.profile)->size() == 4);
    profile::Profile wanted = profile::sample();
    wanted.name = "desk";  // the name stays as it is now
    CHECK(store.load(bench.profile).value() == wanted);
    CHECK(store.load_revision(first.id).value() == profile::sample());
    CHECK_FALSE(store.restore(restored->revision.id)->is_new);
    CHECK(code_of(store.restore(99)) == Errc::not_found);
}

TEST_CASE("revisions: the id stays the entry's, and a save under another name renames") {
    Bench bench;
    profile::Profile other = sample_with(10);
    other.id = {9, 9, 9, 9, 9, 9, 9, 9};
    other.name = "desk";
    other.version = 514;
    REQUIRE(bench.store->save(bench.profile, other, RevisionKind::imported));
    const auto entry = bench.store->profile(bench.profile);
    CHECK(entry->profile_id == profile::sample().id);
    CHECK(entry->name == "desk");
    CHECK(entry->version == 514);
    CHECK(bench.store->load(bench.profile)->id == profile::sample().id);
}

TEST_CASE("revisions: 6 saves that are refused leave everything as it was") {
    Bench bench;
    Store& store = *bench.store;
    REQUIRE(store.copy_profile(bench.profile, bench.person, "taken"));
    profile::Profile broken = profile::sample();
    broken.inputs[0].rules = "nowhere";
    profile::Profile taken = sample_with(10);
    taken.name = "taken";
    const auto kind = RevisionKind::edited;
    const auto refused = store.save(bench.profile, broken, kind);
    CHECK(code_of(refused) == Errc::unknown_name);
    CHECK(refused.error().where.find("/inputs/0") == 0);
    CHECK(code_of(store.add_profile(bench.person, broken)) == Errc::unknown_name);
    CHECK(code_of(store.save(bench.profile, taken, kind)) == Errc::duplicate);
    CHECK(code_of(store.save(bench.profile, sample_with(10), kind, std::string(1001, 'x'))) ==
          Errc::too_large);
    CHECK(code_of(store.save(bench.profile, sample_with(10), kind, "\xFF")) == Errc::syntax);
    CHECK(code_of(store.save(99, sample_with(10), kind)) == Errc::not_found);
    CHECK(store.load(bench.profile).value() == profile::sample());
    CHECK(store.revisions(bench.profile)->size() == 1);
    CHECK(store.save(bench.profile, sample_with(10), kind, std::string(1000, 'x')));
}

TEST_CASE("revisions: a calendar that jumped back an hour does not change their order") {
    Bench bench;
    REQUIRE(bench.store->save(bench.profile, sample_with(10), RevisionKind::edited));
    bench.clock.advance_ms(-3600000);
    REQUIRE(bench.store->save(bench.profile, sample_with(20), RevisionKind::edited));
    const auto all = bench.store->revisions(bench.profile).value();
    CHECK(all[0].at_ms < all[1].at_ms);
    CHECK(bench.store->load(bench.profile).value() == sample_with(20));
    CHECK(bench.store->load_revision(all[0].id).value() == sample_with(20));
}

/// Little of everything: the history is long instead.
profile::Profile small() {
    profile::Profile p;
    p.name = "small";
    p.id = {1};
    p.rule_sets = {profile::RuleSet{.name = "rules"}};
    p.inputs = {profile::Input{"line", "rules", profile::Switch{1, true}}};
    p.modes = {profile::Mode{"only", "Only", {}}};
    return p;
}

TEST_CASE(
    "revisions: after any 30 saves, restores and renames the history is the list that a slow model keeps") {
    CHECK(rc::check([] {
        Bench bench;
        bench.profile = bench.store->add_profile(bench.person, small()).value().id;
        std::vector<profile::Profile> model = {small()};
        const int steps = *rc::gen::inRange(1, 31);
        for (int step = 0; step < steps; ++step) {
            profile::Profile next = model.back();
            switch (*rc::gen::inRange(0, 3)) {
                case 0: {
                    next.rule_sets[0].acceptance_ms = *rc::gen::inRange(0, 4);
                    RC_ASSERT(bench.store->save(bench.profile, next, RevisionKind::edited).has_value());
                    break;
                }
                case 1: {
                    const auto back = *rc::gen::inRange<std::size_t>(0, model.size());
                    next = model[back];
                    next.name = model.back().name;
                    const auto all = bench.store->revisions(bench.profile).value();
                    RC_ASSERT(bench.store->restore(all[all.size() - 1 - back].id).has_value());
                    break;
                }
                default: {
                    next.name = "name " + std::to_string(*rc::gen::inRange(0, 3));
                    RC_ASSERT(bench.store->rename_profile(bench.profile, next.name).has_value());
                }
            }
            if (!(next == model.back())) model.push_back(next);
        }
        const auto all = bench.store->revisions(bench.profile).value();
        RC_ASSERT(all.size() == model.size());
        for (std::size_t i = 0; i < all.size(); ++i)
            RC_ASSERT(bench.store->load_revision(all[i].id).value() == model[model.size() - 1 - i]);
        RC_ASSERT(bench.store->load(bench.profile).value() == model.back());
        RC_ASSERT(bench.store->profile(bench.profile)->name == model.back().name);
    }));
}

}  // namespace
}  // namespace fettle::store
