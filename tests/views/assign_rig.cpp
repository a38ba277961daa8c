#include "tests/views/assign_rig.hpp"

#include <doctest/doctest.h>

#include <deque>
#include <map>

#include "app/desk/edits.hpp"
#include "core/engine/limits.hpp"

namespace fettle::app::test {

using namespace profile;

AssignRig::AssignRig(Profile whole, const AssignWish& wish)
    : bench(
          [this](ui::Ui& ui) {
              ui.panel("content", {0, 0, ui.input().size.x, ui.input().size.y});
              assign_view(ui, desk, state, [this](Order order) { take(std::move(order)); });
              ui.end_panel();
          },
          wish.scale_percent, ui::ThemeName::dark, wish.language) {
    bench.input.size = wish.size;
    desk.editing.profile = std::move(whole);
    desk.down.assign(engine::k_max_inputs, false);
    recheck();
    bench.settle();
}

void AssignRig::recheck() {
    auto layout = XkbLayout::load(desk.editing.profile.keyboard_layout);
    desk.editing.layout = layout ? std::move(*layout) : nullptr;
    desk.editing.findings = check(desk.editing.profile, desk.editing.layout.get());
}

void AssignRig::take(Order order) {
    given.push_back(order);
    const auto* change = std::get_if<edit::Edit>(&order);
    if (change == nullptr) return;
    auto after = edit::apply(desk.editing.profile, *change);
    CHECK(after.has_value());  // the screen asks for nothing that is refused
    if (!after) return;
    desk.editing.profile = std::move(*after);
    recheck();
}

std::optional<Action> AssignRig::action(const std::string& mode, const std::string& input,
                                        GestureName gesture) const {
    const Mode* found = find_named(profile().modes, mode);
    if (found == nullptr) return std::nullopt;
    for (const Assignment& one : found->assignments)
        if (one.input == input)
            return gesture == GestureName::short_press  ? one.short_press
                   : gesture == GestureName::long_press ? one.long_press
                                                        : one.double_press;
    return std::nullopt;
}

void AssignRig::open(AssignPlace place) {
    state.before.clear();
    state.at = std::move(place);
    bench.settle();
}

void AssignRig::open_cell(const std::string& mode, const std::string& input, GestureName gesture) {
    AssignPlace place;
    place.page = AssignPage::cell;
    place.mode = mode;
    place.input = input;
    place.gesture = gesture;
    open(place);
}

bool AssignRig::walk(const std::string& id) {
    constexpr ui::Way k_ways[] = {ui::Way::left, ui::Way::right, ui::Way::up, ui::Way::down};
    constexpr ui::Key k_keys[] = {ui::Key::left, ui::Key::right, ui::Key::up, ui::Key::down};
    if (bench.ui.navigator().focus().empty()) bench.press(ui::Key::down);
    for (int step = 0; step < 80 && bench.ui.navigator().focus() != id; ++step) {
        // The shortest way on what is on screen now; the first key of it is pressed.
        const std::string from = bench.ui.navigator().focus();
        std::map<std::string, int> first{{from, -1}};
        std::deque<std::string> open{from};
        while (!open.empty() && !first.contains(id)) {
            const std::string at = open.front();
            open.pop_front();
            for (int way = 0; way < 4; ++way) {
                ui::Navigator probe;
                probe.set_focus(at);
                probe.move(bench.ui.registry(), k_ways[way]);
                if (first.contains(probe.focus())) continue;
                first[probe.focus()] = at == from ? way : first[at];
                open.push_back(probe.focus());
            }
        }
        if (!first.contains(id)) return false;
        bench.press(k_keys[first[id]]);
    }
    if (bench.ui.navigator().focus() != id) return false;
    bench.press(ui::Key::enter);
    return true;
}

bool AssignRig::choose(const std::string& id, int i) {
    return bench.work(id) && bench.work(id + "/" + std::to_string(i));
}

bool AssignRig::write(const std::string& id, const std::string& ascii) {
    if (!bench.work(id)) return false;
    bench.press(ui::Key::end);
    for (int i = 0; i < 40; ++i) bench.press(ui::Key::backspace);
    bench.type(ascii);
    return bench.work(id + "/done");
}

bool AssignRig::has(FindingKind kind) const {
    for (const Finding& one : desk.editing.findings)
        if (one.kind == kind) return true;
    return false;
}

namespace {

Assignment does(const std::string& input, Action action) {
    Assignment one;
    one.input = input;
    one.short_press = std::move(action);
    return one;
}

void on_remote(Profile& p, std::size_t input, int command) {
    p.inputs[input].source = Infrared{Protocol::nec, 0x61, command, 0, 0};
    p.inputs[input].rules = "remote";
}

}  // namespace

Profile sound_profile() {
    Profile p;
    p.name = "four switches";
    p.id = {1, 2, 3, 4, 5, 6, 7, 8};
    RuleSet rules;
    rules.name = "switches";
    RuleSet remote;
    remote.name = "remote";
    remote.holdover_ms = 130;
    p.rule_sets = {rules, remote};
    p.motions = {Motion{"far", Travel{}}};
    p.repeats = {Repeat{"rows", 500, 200}};
    int line = 0;
    for (const char* name : {"a", "b", "c", "d"})
        p.inputs.push_back({name, "switches", Switch{++line, true}});
    for (const char* name : {"one", "two"})
        p.modes.push_back(
            {name,
             name,
             {does("a", ModeChange{ModeStyle::next, ""}), does("b", ReleaseAll{}),
              does("c", Button{1, ButtonStyle::click}), does("d", Move{Direction::up, "far"})}});
    return p;
}

Profile faulty_profile(FindingKind kind) {
    Profile p = sound_profile();
    auto& one = p.modes[0].assignments;
    auto& two = p.modes[1].assignments;
    const auto third = [&] { p.modes.push_back({"three", "three", two}); };
    switch (kind) {
        case FindingKind::mode_without_exit: two.erase(two.begin()); break;
        case FindingKind::mode_without_way_back:
            third();
            p.modes[0].assignments[0].short_press = ModeChange{ModeStyle::go_to, "two"};
            p.modes[1].assignments[0].short_press = ModeChange{ModeStyle::go_to, "three"};
            p.modes[2].assignments[0].short_press = ModeChange{ModeStyle::go_to, "two"};
            break;
        case FindingKind::mode_without_release: two.erase(two.begin() + 1); break;
        case FindingKind::held_without_release:
            two.erase(two.begin() + 1);
            two[1].short_press = Latch{0x02, LatchStyle::latch_only};
            break;
        case FindingKind::gesture_assigned_twice: one.push_back(does("c", ReleaseAll{})); break;
        case FindingKind::same_source_twice: p.inputs[3].source = p.inputs[2].source; break;
        case FindingKind::pointer_without_click:
            one.erase(one.begin() + 2);
            two.erase(two.begin() + 2);
            break;
        case FindingKind::text_not_typable:
            p.texts = {{"greeting", {std::string("a\u65e5")}}};
            one[2].long_press = TypeText{"greeting"};
            break;
        case FindingKind::layout_unknown:
            p.texts = {{"greeting", {std::string("a")}}};
            one[2].long_press = TypeText{"greeting"};
            p.keyboard_layout.layout = "zz";
            break;
        case FindingKind::needs_two_buttons:
            on_remote(p, 2, 1);
            on_remote(p, 3, 2);
            one[2].short_press = Scale{ScaleStyle::while_held, 300};
            break;
        case FindingKind::nothing_assigned:
            p.modes.pop_back();
            one.clear();
            break;
        case FindingKind::mode_never_reached:
            third();
            for (auto& mode : p.modes)
                mode.assignments[0].short_press =
                    ModeChange{ModeStyle::go_to, mode.name == "one" ? "two" : "one"};
            break;
        case FindingKind::input_does_nothing: p.inputs.push_back({"e", "switches", Switch{5, true}}); break;
        case FindingKind::modifier_held_long:
            one[2].short_press = Chord{{0x02, 0}, ChordHold::held, ""};
            break;
        case FindingKind::modifier_repeated:
            one[2].short_press = Chord{{0x02, 0}, ChordHold::repeated, "rows"};
            break;
        case FindingKind::erasing_repeated:
            one[2].short_press = Chord{{0, 0x2A}, ChordHold::repeated, "rows"};
            break;
        case FindingKind::password_in_text:
            p.texts = {{"greeting", {std::string("Abcdef12!")}}};
            one[2].long_press = TypeText{"greeting"};
            break;
        case FindingKind::shorter_than_remote:
            on_remote(p, 3, 1);
            p.rule_sets[1].acceptance_ms = 50;
            break;
        case FindingKind::delay_shorter_than_remote:
            on_remote(p, 3, 1);
            std::get<Travel>(p.motions[0].family).delay_ms = 100;
            break;
        case FindingKind::holdover_shorter_than_remote:
            on_remote(p, 3, 1);
            p.rule_sets[1].holdover_ms = 50;
            break;
        case FindingKind::variant_without_way_back:
            p.variants = {{"tired", "Tired", {}, {}}};
            one[2].long_press = VariantChange{VariantStyle::go_to, "tired"};
            break;
    }
    return p;
}

}  // namespace fettle::app::test
