// Every kind of action can be chosen and edited, by keyboard alone, and gives the right edit.
#include <doctest/doctest.h>

#include <set>

#include "app/views/action_picker.hpp"
#include "tests/views/assign_rig.hpp"

namespace fettle::app::test {
namespace {

using namespace profile;
using ui::Key;

/// With all that actions refer to: two motions, a text, a grid, a variant, a second repeat.
Profile rich_profile() {
    Profile p = sound_profile();
    p.motions.push_back(Motion{"near", Travel{}});
    p.repeats.push_back(Repeat{"slow", 800, 400});
    p.texts = {{"hello", {std::string("hello")}}, {"thanks", {std::string("thanks")}}};
    p.grid = plain_grid();
    p.variants = {{"tired", "Tired", {}, {}}};
    return p;
}

/// By keyboard from the cell's editor; a key and a media key are named on the way.
void pick(AssignRig& rig, Pick what) {
    REQUIRE(rig.bench.work("assign.choose"));
    REQUIRE(rig.state.at.page == AssignPage::pick);
    REQUIRE(rig.bench.work(pick_id(what)));
    if (rig.state.at.page == AssignPage::key) {
        REQUIRE(rig.bench.work("assign.key.name/04"));
        REQUIRE(rig.bench.work("assign.key.use"));
    }
    if (rig.state.at.page == AssignPage::media) {
        REQUIRE(rig.bench.work("assign.key.name/30"));
        REQUIRE(rig.bench.work("assign.key.use"));
    }
    CHECK(rig.state.at.page == AssignPage::cell);
}

template <typename A>
A now(const AssignRig& rig) {
    const auto action = rig.action("one", "d");
    REQUIRE(action.has_value());
    REQUIRE(std::holds_alternative<A>(*action));
    return std::get<A>(*action);
}

AssignRig& with(AssignRig& rig, Pick what) {
    rig.open_cell("one", "d");
    pick(rig, what);
    return rig;
}

}  // namespace

TEST_CASE("assign: 27 things that a press can do are chosen by keyboard, all 18 kinds of action among them") {
    AssignRig rig(rich_profile());
    rig.open_cell("one", "d");
    std::set<std::size_t> kinds;
    for (int i = 0; i < k_picks; ++i) {
        const auto what = static_cast<Pick>(i);
        CAPTURE(pick_id(what));
        pick(rig, what);
        const auto action = rig.action("one", "d");
        CHECK(pick_of(action) == what);
        CHECK(action.has_value() == (what != Pick::nothing));
        if (action) kinds.insert(action->index());
        CHECK(rig.bench.ui.navigator().focus() == "assign.choose");
    }
    CHECK(kinds.size() == std::variant_size_v<Action>);
}

TEST_CASE("assign: what the profile lacks is made first: a motion, a repeat, a grid of 5 rows") {
    Profile p = sound_profile();
    for (auto& mode : p.modes) mode.assignments.pop_back();
    p.motions.clear();
    p.repeats.clear();
    AssignRig rig(p);
    rig.open_cell("one", "d");
    pick(rig, Pick::move);
    CHECK(rig.profile().motions.size() == 1);
    CHECK(now<Move>(rig) == Move{Direction::up, "motion1"});
    pick(rig, Pick::key_repeated);
    CHECK(rig.profile().repeats.size() == 1);
    CHECK(now<Chord>(rig) == Chord{{0, 0x04}, ChordHold::repeated, "repeat1"});
    pick(rig, Pick::grid_move);
    CHECK(rig.profile().grid.rows.size() == 5);
}

TEST_CASE("assign: a first text is written on the way, and the cell types it") {
    AssignRig rig(sound_profile());
    rig.open_cell("one", "d");
    REQUIRE(rig.bench.work("assign.choose"));
    REQUIRE(rig.bench.work(pick_id(Pick::text)));
    REQUIRE(rig.write("assign.text_new", "ok"));
    CHECK(rig.state.at.page == AssignPage::cell);
    CHECK(now<TypeText>(rig) == TypeText{"text1"});
    CHECK(rig.profile().texts == std::vector<Text>{{"text1", {std::string("ok")}}});
}

TEST_CASE("assign: a direction that the input is called by is proposed") {
    Profile p = sound_profile();
    p.inputs.push_back({"left", "switches", Switch{5, true}});
    AssignRig rig(p);
    rig.open_cell("one", "left");
    pick(rig, Pick::scroll);
    CHECK(rig.action("one", "left") == Action(Scroll{Direction::left, 1, ""}));
}

TEST_CASE("assign: the fields of pointer actions, by keyboard") {
    AssignRig rig(rich_profile());
    with(rig, Pick::move);
    REQUIRE(rig.choose("assign.do.direction", 3));
    REQUIRE(rig.choose("assign.do.motion", 1));
    CHECK(now<Move>(rig) == Move{Direction::down_right, "near"});
    with(rig, Pick::jump);
    REQUIRE(rig.choose("assign.do.direction", 6));
    REQUIRE(rig.bench.work("assign.do.counts.more"));
    CHECK(now<Jump>(rig).direction == Direction::left);
    CHECK(now<Jump>(rig).counts > 100);
    with(rig, Pick::scroll);
    REQUIRE(rig.choose("assign.do.direction", 2));
    REQUIRE(rig.bench.work("assign.do.detents.more"));
    REQUIRE(rig.choose("assign.do.repeat", 2));
    CHECK(now<Scroll>(rig) == Scroll{Direction::down, 2, "slow"});
    with(rig, Pick::scale);
    REQUIRE(rig.bench.work("assign.do.scale/1"));
    REQUIRE(rig.bench.work("assign.do.factor.less"));
    CHECK(now<Scale>(rig).style == ScaleStyle::toggle);
    CHECK(now<Scale>(rig).factor_permille < 300);
    with(rig, Pick::click);
    REQUIRE(rig.bench.work("assign.do.buttons/2"));
    REQUIRE(rig.bench.work("assign.do.buttons/0"));
    REQUIRE(rig.bench.work("assign.do.button/2"));
    CHECK(now<Button>(rig) == Button{4, ButtonStyle::double_click});
    with(rig, Pick::drag);
    REQUIRE(rig.bench.work("assign.do.buttons/1"));
    CHECK(now<Drag>(rig) == Drag{6});
}

TEST_CASE("assign: the fields of keys, latches and media keys, by keyboard") {
    AssignRig rig(rich_profile());
    with(rig, Pick::key_tapped);
    REQUIRE(rig.bench.work("assign.do.hold/2"));
    CHECK(now<Chord>(rig) == Chord{{0, 0x04}, ChordHold::repeated, "rows"});
    REQUIRE(rig.choose("assign.do.repeat", 1));
    CHECK(now<Chord>(rig).repeat == "slow");
    REQUIRE(rig.bench.work("assign.do.repeat_delay.less"));
    CHECK(find_named(rig.profile().repeats, "slow")->delay_ms < 800);
    REQUIRE(rig.bench.work("assign.do.repeat_interval.more"));
    CHECK(find_named(rig.profile().repeats, "slow")->interval_ms > 400);
    REQUIRE(rig.choose("assign.do.repeat", 2));
    CHECK(now<Chord>(rig).repeat == "repeat1");
    REQUIRE(rig.bench.work("assign.do.hold/1"));
    CHECK(now<Chord>(rig) == Chord{{0, 0x04}, ChordHold::held, ""});
    with(rig, Pick::latch);
    REQUIRE(rig.bench.work("assign.do.modifier/0"));
    REQUIRE(rig.bench.work("assign.do.modifier/1"));
    REQUIRE(rig.bench.work("assign.do.latch/1"));
    CHECK(now<Latch>(rig) == Latch{0x01, LatchStyle::latch_only});
    CHECK_FALSE(rig.bench.find("assign.do.modifier/0")->is_enabled);  // the last one stays
    with(rig, Pick::media);
    REQUIRE(rig.bench.work("assign.do.held"));
    CHECK(now<Consumer>(rig) == Consumer{0x30, true});
    REQUIRE(rig.bench.work("assign.do.media_choose"));
    REQUIRE(rig.write("assign.key.number", "0xe9"));
    REQUIRE(rig.bench.work("assign.key.use"));
    CHECK(now<Consumer>(rig) == Consumer{0xE9, true});
}

TEST_CASE("assign: the fields of modes, variants, texts and letters, by keyboard") {
    AssignRig rig(rich_profile());
    with(rig, Pick::mode_go);
    CHECK(now<ModeChange>(rig) == ModeChange{ModeStyle::go_to, "two"});
    REQUIRE(rig.choose("assign.do.mode", 0));
    CHECK(now<ModeChange>(rig).mode == "one");
    REQUIRE(rig.bench.work("assign.do.mode_style/1"));
    CHECK(now<ModeChange>(rig) == ModeChange{ModeStyle::next, ""});
    REQUIRE(rig.bench.work("assign.do.mode_style/2"));
    CHECK(now<ModeChange>(rig) == ModeChange{ModeStyle::while_held, "two"});
    with(rig, Pick::variant_go);
    CHECK(now<VariantChange>(rig) == VariantChange{VariantStyle::go_to, "tired"});
    REQUIRE(rig.choose("assign.do.variant", 0));
    CHECK(now<VariantChange>(rig).variant == k_base_variant);
    REQUIRE(rig.bench.work("assign.do.variant_style/1"));
    CHECK(now<VariantChange>(rig) == VariantChange{VariantStyle::next, ""});
    with(rig, Pick::text);
    REQUIRE(rig.choose("assign.do.text", 1));
    CHECK(now<TypeText>(rig).text == "thanks");
    with(rig, Pick::grid_move);
    REQUIRE(rig.choose("assign.do.direction", 3));
    REQUIRE(rig.choose("assign.do.repeat", 1));
    CHECK(now<GridMove>(rig) == GridMove{Direction::left, "rows"});
}

TEST_CASE(
    "assign: a long and a double press are assigned beside the short one; rules that know none say so") {
    Profile p = sound_profile();
    p.rule_sets[0].double_ms = 0;
    AssignRig rig(p);
    REQUIRE(rig.bench.work("assign.cell/one/c"));
    REQUIRE(rig.bench.work("assign.gesture/1"));
    CHECK(rig.bench.find("assign.needs")->label.find("Held for 600 ms") == 0);
    pick(rig, Pick::keep);
    CHECK(rig.action("one", "c", GestureName::long_press) == Action(Keep{}));
    CHECK(rig.action("one", "c") == Action(Button{1, ButtonStyle::click}));
    REQUIRE(rig.bench.work("assign.gesture/2"));
    CHECK(rig.bench.find("assign.needs")->label.find("The press rules switches do not know this one") == 0);
}

TEST_CASE("assign: Back and Escape return to the cell that was opened, with the focus on it") {
    AssignRig rig(sound_profile());
    REQUIRE(rig.bench.work("assign.cell/two/c"));
    CHECK(rig.bench.ui.navigator().focus() == "assign.back");
    REQUIRE(rig.bench.work("assign.choose"));
    rig.bench.press(Key::escape);
    CHECK(rig.state.at.page == AssignPage::cell);
    CHECK(rig.bench.ui.navigator().focus() == "assign.choose");
    REQUIRE(rig.bench.work("assign.back"));
    CHECK(rig.state.at.page == AssignPage::table);
    CHECK(rig.bench.ui.navigator().focus() == "assign.cell/two/c");
    CHECK(rig.given.empty());
}

TEST_CASE("assign: by five directions alone, release everything becomes the long press of c in mode two") {
    AssignRig rig(sound_profile());
    REQUIRE(rig.walk("assign.cell/two/c"));
    REQUIRE(rig.walk("assign.gesture/1"));
    REQUIRE(rig.walk("assign.choose"));
    REQUIRE(rig.walk(pick_id(Pick::release)));
    CHECK(rig.action("two", "c", GestureName::long_press) == Action(ReleaseAll{}));
    REQUIRE(rig.walk("assign.back"));
    CHECK(rig.bench.find("assign.cell/two/c")->value.find("release everything") != std::string::npos);
    REQUIRE(rig.given.size() == 1);
}

}  // namespace fettle::app::test
