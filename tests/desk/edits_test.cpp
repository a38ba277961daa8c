// Every edit alone: what it changes, what follows it, what it refuses. Limits: core/engine/limits.hpp.

#include "app/desk/edits.hpp"

#include <doctest/doctest.h>

#include "core/profile/document.hpp"
#include "core/profile/field_table.hpp"
#include "tests/profile/sample.hpp"

using namespace fettle;
using namespace fettle::app;
using namespace fettle::profile;

namespace {

Profile after(const Profile& before, const edit::Edit& e) {
    const auto done = edit::apply(before, e);
    REQUIRE(done.has_value());
    CHECK(validate(*done).empty());
    return *done;
}

Errc error_of(const Profile& before, const edit::Edit& e) {
    const auto done = edit::apply(before, e);
    REQUIRE_FALSE(done.has_value());
    return done.error().code;
}

const Assignment* assignment(const Profile& p, const std::string& mode, const std::string& input) {
    const Mode* one = find_named(p.modes, mode);
    REQUIRE(one != nullptr);
    for (const Assignment& a : one->assignments)
        if (a.input == input) return &a;
    return nullptr;
}

/// How often a name stands in the written document, as a whole word in quotes.
int times(const Profile& p, const std::string& name) {
    const std::string text = write(p), word = "\"" + name + "\"";
    int n = 0;
    for (auto at = text.find(word); at != std::string::npos; at = text.find(word, at + 1)) ++n;
    return n;
}

}  // namespace

TEST_CASE("edit: an action is set, replaced and taken away, each gesture by itself") {
    const Profile p = sample();
    const Action click = Button{1, ButtonStyle::click};
    const Profile set = after(p, edit::SetAction{"first", "spare", GestureName::long_press, click});
    REQUIRE(assignment(set, "first", "spare") != nullptr);
    CHECK(assignment(set, "first", "spare")->long_press == click);
    CHECK_FALSE(assignment(set, "first", "spare")->short_press.has_value());
    const Profile gone = after(set, edit::SetAction{"first", "spare", GestureName::long_press, {}});
    CHECK(gone == p);
    const Profile one = after(p, edit::SetAction{"first", "button", GestureName::double_press, {}});
    CHECK_FALSE(assignment(one, "first", "button")->double_press.has_value());
    CHECK(assignment(one, "first", "button")->short_press == assignment(p, "first", "button")->short_press);
}

TEST_CASE("edit: a new assignment stands in the order of the inputs") {
    Profile p = sample();
    p.modes[0].assignments.erase(p.modes[0].assignments.begin() + 1);  // "other", the second of five inputs
    const Profile set = after(p, edit::SetAction{"first", "other", GestureName::short_press, ReleaseAll{}});
    CHECK(set.modes[0].assignments[1].input == "other");
}

TEST_CASE("edit: an action in a mode, for an input or to a target that is not there is refused") {
    const Profile p = sample();
    CHECK(error_of(p, edit::SetAction{"third", "line", GestureName::short_press, Keep{}}) == Errc::not_found);
    CHECK(error_of(p, edit::SetAction{"first", "none", GestureName::short_press, Keep{}}) == Errc::not_found);
    const Action lost = ModeChange{ModeStyle::go_to, "third"};
    CHECK(error_of(p, edit::SetAction{"first", "line", GestureName::short_press, lost}) ==
          Errc::unknown_name);
    CHECK(error_of(p, edit::SetAction{"first", "line", GestureName::short_press, Jump{{}, 0}}) ==
          Errc::out_of_range);
    CHECK(error_of(p, edit::SetAction{"first", "line", GestureName::short_press, Chord{}}) ==
          Errc::missing_key);
}

TEST_CASE("edit: 24 inputs fit, the 25th is too large; a second of a name and a bad name are refused") {
    Profile p = sample();
    for (int i = static_cast<int>(p.inputs.size()); i < engine::k_max_inputs; ++i)
        p = after(p, edit::AddInput{{"in" + std::to_string(i), "remote", Untaught{}}});
    CHECK(p.inputs.size() == 24);
    CHECK(error_of(p, edit::AddInput{{"one_more", "remote", Untaught{}}}) == Errc::too_large);
    p.inputs.pop_back();
    CHECK(error_of(p, edit::AddInput{{"line", "remote", Untaught{}}}) == Errc::duplicate);
    CHECK(error_of(p, edit::AddInput{{"no good", "remote", Untaught{}}}) == Errc::out_of_range);
    CHECK(error_of(p, edit::AddInput{{"fine", "none", Untaught{}}}) == Errc::unknown_name);
}

TEST_CASE("edit: an input goes with all that was assigned to it") {
    const Profile p = after(sample(), edit::RemoveInput{"line"});
    CHECK(find_named(p.inputs, "line") == nullptr);
    CHECK(times(p, "line") == 0);
    CHECK(p.inputs.size() == 4);
    CHECK(error_of(p, edit::RemoveInput{"line"}) == Errc::not_found);
}

TEST_CASE("edit: source and rules of an input, within their ranges") {
    const Profile p = sample();
    CHECK(std::get<Switch>(after(p, edit::SetSource{"spare", Switch{3, true}}).inputs[4].source).line == 3);
    CHECK(error_of(p, edit::SetSource{"spare", Switch{9, true}}) == Errc::out_of_range);
    CHECK(error_of(p, edit::SetSource{"none", Untaught{}}) == Errc::not_found);
    CHECK(after(p, edit::SetInputRules{"spare", "switches"}).inputs[4].rules == "switches");
    CHECK(error_of(p, edit::SetInputRules{"spare", "none"}) == Errc::not_found);
}

TEST_CASE("edit: a new name is followed by everything that refers to it, for all seven kinds") {
    const struct {
        edit::Named what;
        const char* from;
    } kinds[] = {{edit::Named::input, "button"},    {edit::Named::mode, "first"},
                 {edit::Named::rule_set, "remote"}, {edit::Named::motion, "keys"},
                 {edit::Named::repeat, "slow"},     {edit::Named::text, "hello"},
                 {edit::Named::variant, "tired"}};
    Profile p = sample();
    p.modes[1].assignments[4].long_press = VariantChange{VariantStyle::go_to, "tired"};
    for (const auto& kind : kinds) {
        CAPTURE(kind.from);
        const int before = times(p, kind.from);
        const Profile renamed = after(p, edit::Rename{kind.what, kind.from, "another"});
        // "slow" is a repeat and a variant, "keys" ... : only its own kind is renamed.
        CHECK(times(renamed, "another") >= 2);
        CHECK(times(renamed, kind.from) == before - times(renamed, "another"));
        CHECK(after(renamed, edit::Rename{kind.what, "another", kind.from}) == p);
        CHECK(error_of(p, edit::Rename{kind.what, "none", "another"}) == Errc::not_found);
        CHECK(error_of(p, edit::Rename{kind.what, kind.from, "no good"}) == Errc::out_of_range);
    }
    CHECK(error_of(p, edit::Rename{edit::Named::input, "button", "other"}) == Errc::duplicate);
    CHECK(error_of(p, edit::Rename{edit::Named::variant, "tired", "base"}) == Errc::duplicate);
    CHECK(after(p, edit::Rename{edit::Named::mode, "first", "first"}) == p);
}

TEST_CASE("edit: a mode goes with the actions that led there; the last one stays") {
    const Profile p = after(sample(), edit::RemoveMode{"first"});
    CHECK(p.modes.size() == 1);
    CHECK_FALSE(assignment(p, "second", "other")->short_press.has_value());
    CHECK(assignment(p, "second", "other")->long_press == Action{ModeChange{ModeStyle::next, ""}});
    CHECK(error_of(p, edit::RemoveMode{"second"}) == Errc::refused);
    CHECK(error_of(p, edit::RemoveMode{"first"}) == Errc::not_found);
}

TEST_CASE("edit: 16 modes fit; labels are 12 characters of ASCII") {
    Profile p = sample();
    for (int i = 2; i < engine::k_max_modes; ++i)
        p = after(p, edit::AddMode{{"mode" + std::to_string(i), "", {}}});
    CHECK(error_of(p, edit::AddMode{{"one_more", "", {}}}) == Errc::too_large);
    CHECK(error_of(sample(), edit::AddMode{{"first", "", {}}}) == Errc::duplicate);
    CHECK(after(p, edit::SetModeLabel{"first", "123456789012"}).modes[0].label == "123456789012");
    CHECK(error_of(p, edit::SetModeLabel{"first", "1234567890123"}) == Errc::out_of_range);
    CHECK(error_of(p, edit::SetModeLabel{"first", "\xC3\xBC"}) == Errc::out_of_range);
    CHECK(error_of(p, edit::SetModeLabel{"none", ""}) == Errc::not_found);
    CHECK(after(p, edit::SetVariantLabel{"slow", "Slow"}).variants[1].label == "Slow");
    CHECK(error_of(p, edit::SetVariantLabel{"none", ""}) == Errc::not_found);
}

TEST_CASE("edit: records are put in place of the one of their name, or added up to their limits") {
    const Profile p = sample();
    RuleSet rules = p.rule_sets[0];
    rules.acceptance_ms = 45;
    CHECK(after(p, edit::PutRuleSet{rules, ""}).rule_sets[0].acceptance_ms == 45);
    CHECK(after(p, edit::PutRuleSet{rules, ""}).rule_sets.size() == 2);
    rules.acceptance_ms = 5001;
    CHECK(error_of(p, edit::PutRuleSet{rules, ""}) == Errc::out_of_range);
    rules.acceptance_ms = 45;
    Profile many = p;
    for (int i = 2; i < engine::k_max_rules; ++i) {
        rules.name = "rules" + std::to_string(i);
        many = after(many, edit::PutRuleSet{rules, ""});
    }
    rules.name = "one_more";
    CHECK(error_of(many, edit::PutRuleSet{rules, ""}) == Errc::too_large);
    CHECK(after(p, edit::PutMotion{{"fifth", Travel{}}, ""}).motions.size() == 5);
    CHECK(error_of(after(after(p, edit::PutMotion{{"fifth", Travel{}}, ""}),
                         edit::PutMotion{{"sixth", Travel{}}, ""}),
                   edit::PutMotion{{"seventh", Travel{}}, ""}) == Errc::too_large);
    CHECK(after(p, edit::PutRepeat{{"slow", 901, 401}}).repeats[0].delay_ms == 901);
    CHECK(error_of(p, edit::PutRepeat{{"slow", 900, 19}}) == Errc::out_of_range);
    CHECK(after(p, edit::PutText{{"bye", {TextPart{"Bye"}}}}).texts.size() == 2);
    CHECK(error_of(p, edit::PutText{{"bye", {}}}) == Errc::out_of_range);
}

TEST_CASE("edit: a variant's stand-ins are put and taken away by themselves") {
    const Profile p = sample();
    RuleSet rules = p.rule_sets[1];
    rules.debounce_ms = 150;
    const Profile put = after(p, edit::PutRuleSet{rules, "tired"});
    CHECK(put.rule_sets == p.rule_sets);
    CHECK(put.variants[0].rule_sets.size() == 2);
    CHECK(error_of(p, edit::PutRuleSet{rules, "none"}) == Errc::not_found);
    rules.name = "none";
    CHECK(error_of(p, edit::PutRuleSet{rules, "tired"}) == Errc::not_found);
    CHECK(after(put, edit::RemoveNamed{edit::Named::rule_set, "switches", "tired"}) == p);
    CHECK(error_of(p, edit::RemoveNamed{edit::Named::rule_set, "switches", "tired"}) == Errc::not_found);
    const Profile added = after(p, edit::AddVariant{{"third", "", {}, {}}});
    CHECK(error_of(added, edit::AddVariant{{"fourth", "", {}, {}}}) == Errc::too_large);
    CHECK(error_of(p, edit::AddVariant{{"base", "", {}, {}}}) == Errc::duplicate);
    CHECK(error_of(p, edit::AddVariant{{"tired", "", {}, {}}}) == Errc::duplicate);
}

TEST_CASE("edit: what something refers to is not removed; what nothing refers to goes with its stand-ins") {
    const Profile p = sample();
    const auto remove = [](edit::Named what, const char* name) { return edit::RemoveNamed{what, name, {}}; };
    for (const char* name : {"remote", "switches"})
        CHECK(error_of(p, remove(edit::Named::rule_set, name)) == Errc::refused);
    for (const char* name : {"travel", "points", "keys", "moves"})
        CHECK(error_of(p, remove(edit::Named::motion, name)) == Errc::refused);
    for (const char* name : {"slow", "quick"})
        CHECK(error_of(p, remove(edit::Named::repeat, name)) == Errc::refused);
    CHECK(error_of(p, remove(edit::Named::text, "hello")) == Errc::refused);
    CHECK(error_of(p, remove(edit::Named::text, "none")) == Errc::not_found);

    const Profile free = after(p, edit::SetAction{"first", "other", GestureName::short_press, {}});
    const Profile less = after(free, remove(edit::Named::motion, "keys"));
    CHECK(less.motions.size() == 3);
    CHECK(less.variants[1].motions.empty());
    CHECK(after(p, remove(edit::Named::variant, "tired")).variants.size() == 1);
    Profile led = p;
    led.modes[1].assignments[4].long_press = VariantChange{VariantStyle::go_to, "tired"};
    CHECK(error_of(led, remove(edit::Named::variant, "tired")) == Errc::refused);
    CHECK(after(p, remove(edit::Named::input, "line")) == after(p, edit::RemoveInput{"line"}));
    CHECK(after(p, remove(edit::Named::mode, "first")) == after(p, edit::RemoveMode{"first"}));
}

TEST_CASE("edit: the last rule set stays even when no input goes by it") {
    Profile p;
    p.rule_sets = {RuleSet{}};
    p.rule_sets[0].name = "only";
    p.modes = {{"one", "", {}}};
    REQUIRE(validate(p).empty());
    CHECK(error_of(p, edit::RemoveNamed{edit::Named::rule_set, "only", {}}) == Errc::refused);
}

TEST_CASE("edit: layout, pace, grid; a grid that is still worked is not taken away") {
    const Profile p = sample();
    CHECK(after(p, edit::SetLayout{{"de", "nodeadkeys"}}).keyboard_layout.layout == "de");
    CHECK(after(p, edit::SetPace{{20, 50, 600}}).pace.trial_s == 600);
    CHECK(error_of(p, edit::SetPace{{20, 50, 601}}) == Errc::out_of_range);
    CHECK(after(p, edit::SetGrid{{{{Cell{"x"}}}}}).grid.rows.size() == 1);
    CHECK(error_of(p, edit::SetGrid{}) == Errc::refused);
    CHECK(error_of(p, edit::SetGrid{{{{Cell{"x"}}, {Cell{"y"}, Cell{"z"}}}}}) == Errc::out_of_range);
    Profile none = after(p, edit::SetAction{"second", "line", GestureName::double_press, {}});
    none = after(none, edit::SetAction{"second", "stick", GestureName::short_press, {}});
    CHECK(after(none, edit::SetGrid{}).grid.rows.empty());
}

TEST_CASE("edit: a whole profile takes the place of another; one with a fault does not") {
    Profile other = sample();
    other.name = "Other";
    other.pace.trial_s = 90;
    CHECK(after(Profile(*parse(asset("volunteer"))), edit::Replace{other}) == other);
    other.pace.trial_s = 19;
    CHECK(error_of(sample(), edit::Replace{other}) == Errc::out_of_range);
}

TEST_CASE("edit: a half-made profile may be mended step by step, but gets no new fault") {
    Profile half = sample();
    half.pace.trial_s = 5;
    half.pace.click_gap_ms = 5;
    const auto mended = edit::apply(half, edit::SetPace{{20, 50, 5}});
    REQUIRE(mended.has_value());
    CHECK(validate(*mended).size() == 1);
    CHECK(error_of(half, edit::SetPace{{7, 5, 5}}) == Errc::out_of_range);
    CHECK(edit::apply(half, edit::SetModeLabel{"first", "Fine"}).has_value());
}
