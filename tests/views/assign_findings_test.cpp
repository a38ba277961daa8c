// What check() refuses or warns of stands at the cell that causes it, with a way to mend it.
#include <doctest/doctest.h>

#include "app/views/assign_findings.hpp"
#include "app/words/sentences.hpp"
#include "tests/views/assign_rig.hpp"

namespace fettle::app::test {
namespace {

using namespace profile;

/// Where the table marks a fault of that kind in faulty_profile().
struct Marked {
    FindingKind kind;
    const char* id;
    bool has_edit = true;
};
constexpr Marked k_marked[] = {
    {FindingKind::mode_without_exit, "assign.mode/two"},
    {FindingKind::mode_without_way_back, "assign.mode/two"},
    {FindingKind::mode_without_release, "assign.mode/two"},
    {FindingKind::held_without_release, "assign.cell/two/c"},
    {FindingKind::gesture_assigned_twice, "assign.cell/one/c"},
    {FindingKind::same_source_twice, "assign.input/d"},
    {FindingKind::pointer_without_click, "assign.mode/one"},
    {FindingKind::text_not_typable, "assign.cell/one/c"},
    {FindingKind::layout_unknown, "assign.cell/one/c", false},
    {FindingKind::needs_two_buttons, "assign.cell/one/c"},
    {FindingKind::nothing_assigned, "assign.mode/one", false},
    {FindingKind::mode_never_reached, "assign.mode/three"},
    {FindingKind::input_does_nothing, "assign.input/e"},
    {FindingKind::modifier_held_long, "assign.cell/one/c"},
    {FindingKind::modifier_repeated, "assign.cell/one/c"},
    {FindingKind::erasing_repeated, "assign.cell/one/c"},
    {FindingKind::password_in_text, "assign.cell/one/c", false},
    {FindingKind::shorter_than_remote, "assign.input/d"},
    {FindingKind::delay_shorter_than_remote, "assign.cell/one/d"},
    {FindingKind::holdover_shorter_than_remote, "assign.input/d"},
    {FindingKind::variant_without_way_back, "assign.cell/one/c"},
};

int index_of_kind(const AssignRig& rig, FindingKind kind) {
    const auto& all = rig.desk.editing.findings;
    for (std::size_t i = 0; i < all.size(); ++i)
        if (all[i].kind == kind) return static_cast<int>(i);
    return -1;
}

}  // namespace

TEST_CASE("assign findings: a sound profile has no mark, and the page says so") {
    AssignRig rig(sound_profile());
    REQUIRE(rig.desk.editing.findings.empty());
    CHECK_FALSE(rig.bench.shows("problems:"));
    CHECK_FALSE(rig.bench.shows("warnings:"));
    REQUIRE(rig.bench.work("assign.findings"));
    CHECK(rig.bench.shows("The check finds nothing"));
}

TEST_CASE("assign findings: 21 kinds, each marked in the table where it is caused") {
    int kinds = 0;
    for (const Marked& one : k_marked) {
        ++kinds;
        CAPTURE(finding_name(one.kind));
        AssignRig rig(faulty_profile(one.kind));
        REQUIRE(rig.has(one.kind));
        const ui::Control* cell = rig.bench.find(one.id);
        REQUIRE(cell != nullptr);
        const std::string word = is_lock_out(one.kind) ? "problems: " : "warnings: ";
        CHECK(cell->label.find(word) != std::string::npos);
    }
    CHECK(kinds == static_cast<int>(FindingKind::variant_without_way_back) + 1);
}

TEST_CASE(
    "assign findings: 18 kinds have an edit that removes them, by keyboard; the 3 others lead to their "
    "place") {
    int mended = 0;
    for (const Marked& one : k_marked) {
        CAPTURE(finding_name(one.kind));
        AssignRig rig(faulty_profile(one.kind));
        AssignPlace page;
        page.page = AssignPage::findings;
        rig.open(page);
        const int at = index_of_kind(rig, one.kind);
        REQUIRE(at >= 0);
        const Finding before = rig.desk.editing.findings[static_cast<std::size_t>(at)];
        CHECK(rig.bench.shows(sentence(before)));
        const std::string mend = "assign.mend/" + std::to_string(at) + "/0";
        REQUIRE(rig.bench.work(mend));
        if (!one.has_edit) {
            CHECK(rig.given.empty());
            CHECK(rig.state.at.page != AssignPage::findings);
            continue;
        }
        ++mended;
        REQUIRE(rig.given.size() == 1);
        CHECK(std::holds_alternative<edit::Edit>(rig.given[0]));
        for (const Finding& now : rig.desk.editing.findings) CHECK_FALSE(is_same(now, before));
    }
    CHECK(mended == 18);
}

TEST_CASE("assign findings: every edit that is offered removes its finding and brings no new lock-out") {
    int edits = 0;
    for (const Marked& one : k_marked) {
        CAPTURE(finding_name(one.kind));
        AssignRig rig(faulty_profile(one.kind));
        const auto& findings = rig.desk.editing.findings;
        for (const Finding& finding : findings)
            for (const AssignMend& mend :
                 mends_for(Language::german, rig.profile(), rig.desk.editing.layout.get(), finding)) {
                CAPTURE(mend.label);
                CHECK_FALSE(mend.label.empty());
                CHECK((mend.edit || mend.place || mend.opens_motion));
                if (!mend.edit) continue;
                ++edits;
                const auto after = edit::apply(rig.profile(), *mend.edit);
                REQUIRE(after.has_value());
                std::size_t lock_outs = 0, were = 0;
                for (const Finding& now : check(*after, rig.desk.editing.layout.get())) {
                    CHECK_FALSE(is_same(now, finding));
                    if (is_lock_out(now.kind)) ++lock_outs;
                }
                for (const Finding& was : findings)
                    if (is_lock_out(was.kind)) ++were;
                CHECK(lock_outs <= were);
            }
    }
    CHECK(edits >= 18);
}

TEST_CASE("assign findings: the remote's delay is set to the least value that works, 130 + 108 ms") {
    // Source: the NEC protocol sends a frame every 108 ms (rounded up) while a button is held.
    AssignRig rig(faulty_profile(FindingKind::delay_shorter_than_remote));
    rig.open_cell("one", "d");
    const int at = index_of_kind(rig, FindingKind::delay_shorter_than_remote);
    REQUIRE(rig.bench.work("assign.mend/" + std::to_string(at) + "/0"));
    CHECK(std::get<Travel>(rig.profile().motions[0].family).delay_ms == 130 + 108);
    CHECK_FALSE(rig.has(FindingKind::delay_shorter_than_remote));
}

TEST_CASE("assign findings: a press that lasts gets no long press beside it, it would no longer last") {
    Profile p = faulty_profile(FindingKind::mode_without_release);
    p.modes[1].assignments.push_back({"b", Move{Direction::down, "far"}, {}, {}});
    p.modes[1].assignments[2].long_press = Keep{};  // d
    AssignRig rig(p);
    for (const Finding& finding : rig.desk.editing.findings)
        for (const AssignMend& mend :
             mends_for(Language::english, rig.profile(), rig.desk.editing.layout.get(), finding)) {
            const auto* set = mend.edit ? std::get_if<edit::SetAction>(&*mend.edit) : nullptr;
            if (set != nullptr && set->input == "b") CHECK(set->gesture == GestureName::short_press);
        }
}

}  // namespace fettle::app::test
