// From a fresh desk to a kept profile and back, by a list of orders and simulated hands alone.

#include <doctest/doctest.h>

#include "app/desk/edit_words.hpp"
#include "core/profile/document.hpp"
#include "tests/desk/desk_rig.hpp"
#include "tests/profile/sample.hpp"

using namespace fettle;
using namespace fettle::app;
using namespace fettle::app::test;
using profile::GestureName;

TEST_CASE("desk: taught, assigned, shaped, tried, used, kept, read back equal, and undone to the start") {
    DeskRig rig;
    const auto first = rig.profile();
    rig.connect();
    rig.take(edit::RemoveInput{"minus"});  // the device's memory holds twelve inputs of this profile
    rig.take(order::TeachBegin{"", false});
    rig.press_twice(profile::Switch{3, true});
    rig.take(order::TeachAccept{"chin"});
    rig.take(edit::SetAction{"near", "chin", GestureName::short_press,
                             profile::Chord{{0x01, 0x06}, profile::ChordHold::tapped, ""}});
    profile::Motion far = rig.profile().motions[0];
    std::get<profile::Travel>(far.family).delay_ms = 350;
    rig.take(edit::PutMotion{far, ""});
    rig.take(edit::SetAction{"far", "chin", GestureName::short_press,
                             profile::Button{4, profile::ButtonStyle::click}});
    CHECK(rig.desk().editing.undo.size() == 5);
    rig.try_it(120);
    rig.prove();
    rig.press("menu");
    REQUIRE(rig.desk().mode == 1);
    const auto before = rig.desk().roll.size();
    rig.press("chin");  // Control + C, by the new switch
    CHECK(rig.desk().roll.size() > before);
    rig.take(Ask{ask::Keep{}});
    REQUIRE(rig.run_until([&] { return !rig.desk().trying.is_running; }));
    rig.run_ms(1000);
    CHECK(rig.desk().is_on_device());
    CHECK(rig.desk().names.inputs.back() == "chin");

    auto session = fettle::test::open_session(rig.device, fettle::test::Way::serial);
    const auto image = *session->read_image(wire::k_slot_current);
    CHECK(image == rig.desk().editing.compiled->image);
    const auto read = profile::decompile(image, *rig.desk().editing.layout, {"us", ""});
    REQUIRE(read.has_value());
    REQUIRE(read->inputs.size() == 12);
    CHECK(read->inputs[11].source == profile::InputSource{profile::Switch{3, true}});
    CHECK(read->modes[0].label == "Far");

    for (int i = 0; i < 5; ++i) rig.take(order::Undo{});
    CHECK(rig.profile() == first);
    for (int i = 0; i < 5; ++i) rig.take(order::Redo{});
    CHECK(rig.desk().is_on_device());
    rig.check_ends_released();
}

TEST_CASE("desk: every kind of edit says what it does, in both languages, without holes") {
    const profile::Profile p = profile::sample();
    profile::RuleSet rules = p.rule_sets[0];
    rules.acceptance_ms = 30;
    const profile::Action click = profile::Button{1, profile::ButtonStyle::click};
    const struct {
        edit::Edit edit;
        const char* english;
    } all[] = {
        {edit::SetAction{"first", "line", GestureName::long_press, click},
         "line (long) in first: clicks the primary button once"},
        {edit::SetAction{"first", "line", GestureName::double_press, {}},
         "line (double) in first: nothing any more"},
        {edit::AddInput{{"new", "remote", profile::Untaught{}}}, "new added"},
        {edit::RemoveInput{"line"}, "line removed"},
        {edit::SetSource{"spare", profile::Switch{2, true}},
         "spare taught: switch on line 2, closed when low"},
        {edit::SetInputRules{"spare", "switches"}, "spare goes by the press rules switches"},
        {edit::Rename{edit::Named::mode, "first", "start"}, "first is now called start"},
        {edit::AddMode{{"third", "", {}}}, "third added"},
        {edit::RemoveMode{"first"}, "first removed"},
        {edit::SetModeLabel{"first", "Start"}, "first shows \"Start\" on the device"},
        {edit::PutRuleSet{rules, ""}, "remote: acceptance 30 ms, was 0 ms"},
        {edit::PutRuleSet{rules, "tired"}, "remote (tired): 2 values changed"},
        {edit::PutMotion{{"new", profile::Travel{}}, ""}, "new added"},
        {edit::PutRepeat{{"slow", 950, 400}}, "slow: delay 950 ms, was 900 ms"},
        {edit::PutText{{"hello", {profile::TextPart{"Hi"}}}}, "text hello changed"},
        {edit::RemoveNamed{edit::Named::rule_set, "remote", "tired"}, "remote (tired) removed"},
        {edit::AddVariant{{"third", "", {}, {}}}, "third added"},
        {edit::SetVariantLabel{"tired", "Low"}, "tired shows \"Low\" on the device"},
        {edit::SetLayout{{"de", "nodeadkeys"}}, "keyboard layout de nodeadkeys"},
        {edit::SetPace{{35, 61, 120}}, "pace: trial 120 s, was 90 s"},
        {edit::SetGrid{{{{profile::Cell{"x"}}}}}, "character grid changed"},
        {edit::Replace{p}, "the whole profile: Sample \xC3\xBC"},
    };
    CHECK(std::size(all) >= std::variant_size_v<edit::Edit>);
    for (const auto& one : all) {
        CHECK(edit_words(one.edit, p, Language::english) == one.english);
        const std::string german = edit_words(one.edit, p, Language::german);
        CHECK_FALSE(german.empty());
        CHECK(german.find('{') == std::string::npos);
    }
}
