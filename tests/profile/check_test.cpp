#include "core/profile/check.hpp"

#include <doctest/doctest.h>

#include <algorithm>

#include "core/profile/mode_graph.hpp"

using namespace fettle::profile;
using fettle::engine::Protocol;

namespace {

/// Types lower-case letters only.
class Letters final : public StrokeSource {
public:
    std::optional<std::vector<Stroke>> strokes_for(std::string_view text) const override {
        std::vector<Stroke> strokes;
        for (const char c : text) {
            if (c < 'a' || c > 'z') return std::nullopt;
            strokes.push_back({0, static_cast<std::uint8_t>(4 + c - 'a')});
        }
        return strokes;
    }
    std::optional<std::string> text_for(Stroke) const override { return std::nullopt; }
};

Assignment does(const char* input, Action action) {
    return {input, std::move(action), std::nullopt, std::nullopt};
}
Assignment does_long(const char* input, Action action) {
    return {input, std::nullopt, std::move(action), std::nullopt};
}

Input button(const char* name, int command) {
    return {name, "remote", Infrared{Protocol::nec, 0x5A, command, 0, 0}};
}
Input contact(const char* name, int line) {
    return {name, "switches", Switch{line, true}};
}

/// Two modes, a remote of three buttons and two switches: nothing is wrong with it.
Profile sound() {
    Profile p;
    p.rule_sets = {{}, {}};
    p.rule_sets[0].name = "remote";
    p.rule_sets[0].holdover_ms = 120;
    p.rule_sets[1].name = "switches";
    p.motions = {{"far", Travel{}}};
    p.inputs = {button("up", 1), button("down", 2), button("select", 3), contact("cheek", 1),
                contact("foot", 2)};
    p.modes = {{"far",
                "FAR",
                {does("up", Move{Direction::up, "far"}), does("down", Move{Direction::down, "far"}),
                 does("select", Button{}), does("cheek", ReleaseAll{}),
                 does("foot", ModeChange{ModeStyle::go_to, "list"})}},
               {"list",
                "LIST",
                {does("up", Chord{{0, 0x52}, ChordHold::tapped, ""}), does("cheek", ReleaseAll{}),
                 does("foot", ModeChange{ModeStyle::go_to, "far"})}}};
    return p;
}

std::vector<FindingKind> kinds(const Profile& p) {
    const Letters letters;
    std::vector<FindingKind> all;
    for (const Finding& finding : check(p, &letters)) all.push_back(finding.kind);
    return all;
}

const Finding* find(const std::vector<Finding>& findings, FindingKind kind) {
    const auto at =
        std::find_if(findings.begin(), findings.end(), [&](const Finding& f) { return f.kind == kind; });
    return at == findings.end() ? nullptr : &*at;
}

Finding only(const Profile& p, FindingKind kind) {
    const Letters letters;
    const auto findings = check(p, &letters);
    REQUIRE(findings.size() == 1);
    REQUIRE(findings[0].kind == kind);
    return findings[0];
}

}  // namespace

TEST_CASE("check: a sound profile of 2 modes and 5 inputs has no finding") {
    CHECK(kinds(sound()).empty());
}

TEST_CASE("check: a mode that nothing leads out of is a lock-out at that mode") {
    Profile p = sound();
    p.modes[1].assignments.pop_back();
    const Finding f = only(p, FindingKind::mode_without_exit);
    CHECK(f.where == "/modes/1");
    CHECK(f.subjects == std::vector<std::string>{"list"});
}

TEST_CASE("check: two modes that lead only to each other and not back to the first are both named") {
    Profile p = sound();
    p.modes.push_back(p.modes[1]);
    p.modes[2].name = "letters";
    p.modes[1].assignments[2] = does("foot", ModeChange{ModeStyle::go_to, "letters"});
    p.modes[2].assignments[2] = does("foot", ModeChange{ModeStyle::go_to, "list"});
    CHECK(kinds(p) == std::vector<FindingKind>(2, FindingKind::mode_without_way_back));
}

TEST_CASE(
    "check: `next` wraps from the last mode to the first, so three modes on one switch can all be left") {
    Profile p = sound();
    p.modes.push_back(p.modes[1]);
    p.modes[2].name = "letters";
    p.modes[0].assignments[4] = does("foot", ModeChange{ModeStyle::next, ""});
    p.modes[1].assignments[2] = does("foot", ModeChange{ModeStyle::next, ""});
    p.modes[2].assignments[2] = does("foot", ModeChange{ModeStyle::next, ""});
    CHECK(kinds(p).empty());
}

TEST_CASE("check: a mode held by a switch is left by letting go and needs no exit") {
    Profile p = sound();
    p.modes[0].assignments[4] = does("foot", ModeChange{ModeStyle::while_held, "list"});
    p.modes[1].assignments.pop_back();
    CHECK(kinds(p).empty());
}

TEST_CASE("check: a mode that no press leads to is a warning") {
    Profile p = sound();
    p.modes.push_back(p.modes[1]);
    p.modes[2].name = "letters";
    CHECK(only(p, FindingKind::mode_never_reached).subjects == std::vector<std::string>{"letters"});
}

TEST_CASE("check: release everything must be one press away in every mode: long counts, double does not") {
    Profile p = sound();
    p.modes[1].assignments[1] = does_long("cheek", ReleaseAll{});
    CHECK(kinds(p).empty());
    p.modes[1].assignments[1] = {"cheek", std::nullopt, std::nullopt, ReleaseAll{}};
    CHECK(only(p, FindingKind::mode_without_release).where == "/modes/1");
}

TEST_CASE(
    "check: a latch that a mode cannot let go of is refused there, a drag that its own press ends is not") {
    Profile p = sound();
    p.modes[1].assignments[1] = does("cheek", Latch{0x02, fettle::engine::LatchStyle::latch_only});
    const Letters letters;
    const auto findings = check(p, &letters);
    const Finding* held = find(findings, FindingKind::held_without_release);
    REQUIRE(held != nullptr);
    CHECK(held->where == "/modes/1/assignments/1/short");
    CHECK(held->subjects == std::vector<std::string>{"cheek", "list"});
    p.modes[1].assignments[1] = does("cheek", Drag{1});
    CHECK(kinds(p) == std::vector<FindingKind>{FindingKind::mode_without_release});
}

TEST_CASE(
    "check: a pointer that no reachable mode lets click is a lock-out, a click one mode away is enough") {
    Profile p = sound();
    p.modes[0].assignments[2] = does("select", Chord{{0, 0x28}, ChordHold::tapped, ""});
    CHECK(only(p, FindingKind::pointer_without_click).subjects == std::vector<std::string>{"far"});
    p.modes[1].assignments.push_back(does("select", Button{}));
    CHECK(kinds(p).empty());
}

TEST_CASE("check: one input twice in a mode, and one switch line as two inputs, are both refused") {
    Profile p = sound();
    p.modes[0].assignments.push_back(does("up", Button{}));
    p.inputs[4].source = Switch{1, false};
    const auto found = kinds(p);
    CHECK(found ==
          std::vector<FindingKind>{FindingKind::gesture_assigned_twice, FindingKind::same_source_twice});
}

TEST_CASE("check: two inputs that wait to be taught are not the same source") {
    Profile p = sound();
    p.inputs[0].source = Untaught{};
    p.inputs[1].source = Untaught{};
    CHECK(kinds(p).empty());
}

TEST_CASE(
    "check: a held mode on a remote's button needs a second button of the same remote, on a switch it does "
    "not") {
    Profile p = sound();
    p.modes.push_back(
        {"slow", "SLOW", {does("up", Move{Direction::up, "far"}), does_long("select", ReleaseAll{})}});
    p.modes[0].assignments[2].long_press = ModeChange{ModeStyle::while_held, "slow"};
    const Letters letters;
    const auto findings = check(p, &letters);
    REQUIRE(findings.size() == 2);
    // Who holds the mode with select cannot press select in it.
    CHECK(findings[0].kind == FindingKind::mode_without_release);
    CHECK(findings[0].where == "/modes/2");
    CHECK(findings[1].kind == FindingKind::needs_two_buttons);
    CHECK(findings[1].where == "/modes/0/assignments/2/long");
    p.modes[2].assignments.push_back(does("cheek", ReleaseAll{}));
    CHECK(kinds(p).empty());
}

TEST_CASE(
    "check: a held scale or a held modifier on a remote's button needs two buttons when only that remote "
    "moves") {
    Profile p = sound();
    p.modes[0].assignments[2].long_press = Scale{};
    CHECK(only(p, FindingKind::needs_two_buttons).subjects == std::vector<std::string>{"select", "far"});
    p = sound();
    p.modes[1].assignments.push_back(does("select", Chord{{0x02, 0}, ChordHold::held, ""}));
    CHECK(kinds(p) ==
          std::vector<FindingKind>{FindingKind::modifier_held_long});  // the cheek switch can go with it
}

TEST_CASE("check: a text that the layout cannot type names the first character that is missing") {
    Profile p = sound();
    p.texts = {{"greeting", {std::string("helloÄworld")}}};
    p.modes[1].assignments.push_back(does("select", TypeText{"greeting"}));
    const Finding f = only(p, FindingKind::text_not_typable);
    CHECK(f.subjects == std::vector<std::string>{"greeting", "Ä", "us"});
    CHECK(f.where == "/texts/0");
}

TEST_CASE("check: a cell of the grid that the layout cannot type is named by its place") {
    Profile p = sound();
    p.grid.rows = {{std::string("a"), Stroke{0, 0x2A}, std::string("@")}};
    CHECK(only(p, FindingKind::text_not_typable).where == "/grid/rows/0/2");
}

TEST_CASE("check: texts on a layout that is not known are refused, strokes alone are not") {
    Profile p = sound();
    p.texts = {{"restart", {Stroke{0x05, 0x4C}}}};
    CHECK(check(p, nullptr).empty());
    p.texts[0].parts.push_back(std::string("x"));
    const auto findings = check(p, nullptr);
    REQUIRE(findings.size() == 1);
    CHECK(findings[0].kind == FindingKind::layout_unknown);
}

TEST_CASE("check: a text that looks like or is called a password is a warning, a sentence is none") {
    Profile p = sound();
    p.texts = {{"greeting", {std::string("goodmorning")}}};
    CHECK(kinds(p).empty());
    p.texts[0].name = "Mail password";
    CHECK(only(p, FindingKind::password_in_text).subjects == std::vector<std::string>{"Mail password"});
    p.texts = {{"login", {std::string("Tr4nsom!x")}}};
    CHECK(find(check(p, nullptr), FindingKind::password_in_text) != nullptr);
}

TEST_CASE("check: delete, enter and backspace that repeat by themselves are warned of") {
    for (const std::uint8_t usage : std::initializer_list<std::uint8_t>{0x28, 0x2A, 0x4C}) {
        Profile p = sound();
        p.modes[1].assignments.push_back(does("select", Chord{{0, usage}, ChordHold::held, ""}));
        CHECK(kinds(p) == std::vector<FindingKind>{FindingKind::erasing_repeated});
    }
}

TEST_CASE("check: an input without any assignment is a warning") {
    Profile p = sound();
    p.inputs.push_back(contact("elbow", 3));
    CHECK(only(p, FindingKind::input_does_nothing).subjects == std::vector<std::string>{"elbow"});
}

// The NEC period of 108 ms is published in the protocol's kernel decoder (Linux 6.1, drivers/media/rc).
TEST_CASE(
    "check: with a holdover of 120 ms an acceptance of 227 ms on a NEC remote is too short, 228 ms is not") {
    Profile p = sound();
    p.rule_sets[0].acceptance_ms = 227;
    const Finding f = only(p, FindingKind::shorter_than_remote);
    CHECK(f.subjects == std::vector<std::string>{"remote", "acceptance_ms", "227", "228"});
    p.rule_sets[0].acceptance_ms = 228;
    CHECK(kinds(p).empty());
    p.rule_sets[1].acceptance_ms = 40;  // switches have true releases
    CHECK(kinds(p).empty());
}

TEST_CASE("check: a travel delay below holdover and period is warned of where a remote works it") {
    Profile p = sound();
    p.motions[0].family = Travel{1, 200, 1500, 0, 1000, SpeedShape{}};
    CHECK(only(p, FindingKind::delay_shorter_than_remote).subjects ==
          std::vector<std::string>{"far", "200", "228"});
}

TEST_CASE("check: a variant's rules are checked like the profile's own") {
    Profile p = sound();
    RuleSet tired = p.rule_sets[0];
    tired.acceptance_ms = 100;
    p.variants = {{"tired", "TIRED", {tired}, {}}};
    CHECK(only(p, FindingKind::shorter_than_remote).where == "/variants/0/rule_sets/0/acceptance_ms");
}

TEST_CASE("check: a profile without a mode, or with an empty first one, is refused") {
    Profile p;
    CHECK(kinds(p) == std::vector<FindingKind>{FindingKind::nothing_assigned});
    p.modes = {{"only", "ONLY", {}}};
    CHECK(find(check(p, nullptr), FindingKind::nothing_assigned) != nullptr);
}

TEST_CASE("check: release everything counts only where it can be pressed: 9 ways in which it cannot") {
    struct Way {
        const char* what;
        void (*spoil)(Profile&);
    };
    static const Way k_ways[] = {
        {"long, and the rules know no long press", [](Profile& p) { p.rule_sets[1].long_ms = 0; }},
        {"long, and the longest hold ends it before",
         [](Profile& p) {
             p.rule_sets[1].long_ms = 700;
             p.rule_sets[1].longest_hold_ms = 600;
         }},
        {"on an input that waits to be taught", [](Profile& p) { p.inputs[3].source = Untaught{}; }},
        {"in a variant that knows no long press",
         [](Profile& p) {
             RuleSet rules = p.rule_sets[1];
             rules.long_ms = 0;
             p.variants = {{"tired", "", {rules}, {}}};
         }},
        {"on a remote whose frames do not follow closely enough for a long press",
         [](Profile& p) {
             p.inputs[3] = button("cheek", 9);
             p.rule_sets[0].holdover_ms = 100;
         }},
        {"on a remote, accepted later than a frame without holdover lasts",
         [](Profile& p) {
             p.inputs[3] = button("cheek", 9);
             p.rule_sets[0].holdover_ms = 0;
             p.rule_sets[0].acceptance_ms = 300;
         }},
        {"short, where every tap of the remote is a long press",
         [](Profile& p) {
             p.inputs[3] = button("cheek", 9);
             p.rule_sets[0].holdover_ms = 300;
             p.rule_sets[0].long_ms = 250;
             p.modes[1].assignments[1] = {"cheek", ReleaseAll{}, Button{}, std::nullopt};
         }},
        {"on a necx address that is heard as nec",
         [](Profile& p) {
             p.inputs[3] = {"cheek", "switches", Infrared{Protocol::necx, 0x5AA5, 1, 0, 0}};
         }},
        {"as a double press",
         [](Profile& p) {
             p.modes[1].assignments[1] = {"cheek", std::nullopt, std::nullopt, ReleaseAll{}};
         }},
    };
    for (const Way& way : k_ways) {
        CAPTURE(std::string(way.what));
        Profile p = sound();
        p.modes[1].assignments[1] = does_long("cheek", ReleaseAll{});
        REQUIRE(kinds(p).empty());
        way.spoil(p);
        const Letters letters;
        const auto findings = check(p, &letters);
        const Finding* found = find(findings, FindingKind::mode_without_release);
        REQUIRE(found != nullptr);
        CHECK((found->where == "/modes/1" || found->where == "/modes/0"));
    }
}

TEST_CASE("check: a way out on a double press is none where a debounce of 400 ms swallows the second press") {
    Profile p = sound();
    p.modes[1].assignments[2] = {"foot", std::nullopt, std::nullopt, ModeChange{ModeStyle::next, ""}};
    p.rule_sets[1].double_ms = 400;
    p.rule_sets[1].debounce_ms = 399;
    CHECK(kinds(p).empty());
    p.rule_sets[1].debounce_ms = 400;
    CHECK(only(p, FindingKind::mode_without_exit).where == "/modes/1");
}

TEST_CASE("check: a first mode that is only ever held is no way back; one that is gone to while held is") {
    Profile p = sound();
    p.modes.push_back(p.modes[1]);
    p.modes[2].name = "letters";
    p.modes[1].assignments[2] = does("foot", ModeChange{ModeStyle::while_held, "far"});
    p.modes[0].assignments[4] = does("foot", ModeChange{ModeStyle::go_to, "list"});
    // In far, held by foot, nothing but foot changes the mode.
    CHECK(find(check(p, nullptr), FindingKind::mode_without_exit) != nullptr);
    p.inputs.push_back(contact("elbow", 3));
    p.modes[0].assignments.push_back(does("elbow", ModeChange{ModeStyle::go_to, "far"}));
    CHECK(find(check(p, nullptr), FindingKind::mode_without_exit) == nullptr);
    CHECK(find(check(p, nullptr), FindingKind::mode_without_way_back) == nullptr);
}

TEST_CASE("check: a mode that is held moves, and clicks only in a mode that nothing leads to: refused") {
    Profile p = sound();
    p.modes[0].assignments = {does("cheek", ReleaseAll{}),
                              does("foot", ModeChange{ModeStyle::while_held, "list"})};
    p.modes[1].assignments = {does("cheek", ReleaseAll{}), does("up", Move{Direction::up, "far"})};
    p.modes.push_back({"apart", "", {does("cheek", ReleaseAll{}), does("select", Button{})}});
    CHECK(find(check(p, nullptr), FindingKind::pointer_without_click) != nullptr);
    p.modes[0].assignments.push_back(does("select", Button{}));
    CHECK(find(check(p, nullptr), FindingKind::pointer_without_click) == nullptr);
}

TEST_CASE("check: a variant that presses lead to and none out of is warned of, `next` leads out") {
    Profile p = sound();
    p.variants = {{"tired", "TIRED", {}, {}}};
    p.modes[0].assignments[2].long_press = VariantChange{VariantStyle::go_to, "tired"};
    const Finding f = only(p, FindingKind::variant_without_way_back);
    CHECK(f.where == "/variants/0");
    CHECK(f.subjects == std::vector<std::string>{"tired"});
    p.modes[1].assignments.push_back(does("select", VariantChange{VariantStyle::next, ""}));
    CHECK(kinds(p).empty());
    // The way back must work in the variant itself.
    p.modes[1].assignments.pop_back();
    p.modes[1].assignments.push_back(does_long("foot", VariantChange{VariantStyle::go_to, "base"}));
    p.modes[1].assignments.erase(p.modes[1].assignments.begin() + 2);
    p.modes[1].assignments.push_back(does("select", ModeChange{ModeStyle::go_to, "far"}));
    CHECK(kinds(p).empty());
    RuleSet rules = p.rule_sets[1];
    rules.long_ms = 0;
    p.variants[0].rule_sets = {rules};
    CHECK(kinds(p) == std::vector<FindingKind>{FindingKind::variant_without_way_back});
}

TEST_CASE("check: a scale of 50 permille that is toggled on can be toggled off again from every mode") {
    Profile p = sound();
    p.modes[1].assignments.push_back(does("select", Scale{fettle::engine::ScaleStyle::toggle, 50}));
    CHECK(kinds(p).empty());  // back to list, and once more
    p.modes[0].assignments[4] = does("foot", Button{});
    p.modes[1].assignments.pop_back();
    CHECK(only(p, FindingKind::mode_never_reached).where == "/modes/1");
}

TEST_CASE("check: two thresholds on one side of an axis are one press of both, unless the lower one waits") {
    Profile p = sound();
    p.inputs[3].source = Axis{AxisName::pressure, AxisSide::positive, 300, 200};
    p.inputs[4].source = Axis{AxisName::pressure, AxisSide::negative, 300, 200};
    CHECK(kinds(p).empty());  // sip and puff
    p.inputs[4].source = Axis{AxisName::pressure, AxisSide::positive, 301, 150};
    CHECK(only(p, FindingKind::same_source_twice).subjects == std::vector<std::string>{"cheek", "foot"});
    p.inputs[4].source = Axis{AxisName::pressure, AxisSide::positive, 800, 600};
    CHECK(only(p, FindingKind::same_source_twice).where == "/inputs/4");
    // A soft puff that waits 150 ms is ignored where a hard one was accepted before.
    p.rule_sets.push_back(p.rule_sets[1]);
    p.rule_sets[2].name = "soft";
    p.rule_sets[2].acceptance_ms = 150;
    p.rule_sets[2].guard_ms = 300;
    p.inputs[3].rules = "soft";
    CHECK(kinds(p).empty());
}

TEST_CASE(
    "check: a cell of two characters, or of one that takes two strokes, is refused as compile() refuses it") {
    Profile p = sound();
    p.grid.rows = {{std::string("ab")}};
    CHECK(only(p, FindingKind::text_not_typable).where == "/grid/rows/0/0");
}

TEST_CASE("check: a holdover of 107 ms lets go of a held NEC button between its frames, 108 ms does not") {
    Profile p = sound();
    p.rule_sets[0].holdover_ms = 107;
    p.motions[0].family = Travel{1, 500, 1500, 0, 1000, SpeedShape{}};
    CHECK(only(p, FindingKind::holdover_shorter_than_remote).subjects ==
          std::vector<std::string>{"remote", "107", "108"});
    p.rule_sets[0].holdover_ms = 108;
    CHECK(kinds(p).empty());
}

TEST_CASE("check: a warning is accepted by its name, a lock-out never is") {
    Profile p = sound();
    p.inputs.push_back(contact("elbow", 3));
    p.modes[1].assignments[1] = {"cheek", std::nullopt, std::nullopt, ReleaseAll{}};
    const Letters letters;
    const auto findings = check(p, &letters);
    CHECK(refusals(findings, {}).size() == 2);
    CHECK(refusals(findings, {"input-does-nothing", "mode-without-release"}).size() == 1);
    CHECK(is_lock_out(findings[0].kind));
}

TEST_CASE("check: all 21 kinds have a name of their own that leads back to them") {
    for (int k = 0; k <= static_cast<int>(FindingKind::variant_without_way_back); ++k) {
        const auto kind = static_cast<FindingKind>(k);
        CHECK(finding_kind(finding_name(kind)) == kind);
    }
    CHECK_FALSE(finding_kind("mode-without").has_value());
}
