#pragma once
// One profile with something of everything, for tests; and the tree's own documents.

#include <fstream>
#include <iterator>
#include <string>

#include "core/profile/document.hpp"

namespace fettle::profile {

inline const char* const k_asset_names[] = {"volunteer", "one_switch", "stick_and_tube", "built_in"};

inline std::string tree_file(const std::string& path) {
    std::ifstream file(std::string(FETTLE_ROOT) + "/" + path, std::ios::binary);
    return std::string(std::istreambuf_iterator<char>(file), {});
}
inline std::string asset(const std::string& name) {
    return tree_file("assets/profiles/" + name + ".json");
}

inline Profile sample() {
    Profile p;
    p.name = "Sample \xC3\xBC";
    p.id = {0x10, 0x32, 0x54, 0x76, 0x98, 0xBA, 0xDC, 0xFE};
    p.version = 513;
    RuleSet remote;
    remote.name = "remote";
    RuleSet switches = remote;
    switches.name = "switches";
    switches.act_on_release = true;
    switches.acceptance_ms = 35;
    switches.longest_hold_ms = 1500;
    p.rule_sets = {remote, switches};
    Travel travel;
    travel.speed = SpeedShape{50, 700, 1500};
    Travel points;
    points.speed = SpeedPoints{{1, 20, 300, 4000, 50000, 600000, 600001, 600002, 0xFFFFFF}};
    MouseKeys keys;
    keys.moves = MouseKeysShape{2, 10, 20, 700};
    MouseKeys moves;
    moves.moves = MouseKeysMoves{{3, 1, 65535}};
    p.motions = {{"travel", travel}, {"points", points}, {"keys", keys}, {"moves", moves}};
    p.repeats = {{"slow", 900, 400}, {"quick", 300, 100}};
    p.texts = {{"hello", {TextPart{"Hello, "}, TextPart{Stroke{0x01, 0x2B}}, TextPart{"you"}}}};
    p.inputs = {{"button", "remote", Infrared{Protocol::sirc20, 26, 73, 200, 0}},
                {"other", "remote", Infrared{Protocol::unknown, 0, 0, 0, 0x89ABCDEF}},
                {"line", "switches", Switch{8, false}},
                {"stick", "switches", Axis{AxisName::stick_y, AxisSide::negative, 600, 400}},
                {"spare", "remote", Untaught{}}};
    p.grid.rows = {{Cell{"a"}, Cell{}, Cell{Stroke{0x05, 0x4C}}},
                   {Cell{"Z"}, Cell{Stroke{0, 0x28}}, Cell{"?"}}};
    const auto all = [](const char* input, Action a, std::optional<Action> b = {},
                        std::optional<Action> c = {}) {
        return Assignment{input, std::move(a), std::move(b), std::move(c)};
    };
    p.modes = {
        {"first",
         "First",
         {all("button", Move{Direction::up_left, "travel"}, Move{Direction::down, "points"}, Keep{}),
          all("other", Move{Direction::left, "keys"}, Move{Direction::right, "moves"}, Revert{}),
          all("line", Chord{{0x05, 0x04}, ChordHold::held, ""},
              Chord{{0, 0x52}, ChordHold::repeated, "quick"}, Chord{{0x08, 0}, ChordHold::tapped, ""}),
          all("stick", Latch{0x02, LatchStyle::lock}, Button{5, ButtonStyle::double_click}, Drag{2})}},
        {"second",
         "",
         {all("button", Scroll{Direction::left, 3, "slow"}, Scroll{Direction::up, 1, ""}, Extend{}),
          all("other", ModeChange{ModeStyle::while_held, "first"}, ModeChange{ModeStyle::next, ""},
              Consumer{0x0E9, false}),
          all("line", Consumer{0x3FF, true}, TypeText{"hello"}, GridMove{Direction::down, "slow"}),
          all("stick", GridPick{}, Jump{Direction::down_right, 32767}, Scale{ScaleStyle::toggle, 4000}),
          all("spare", ReleaseAll{}, VariantChange{VariantStyle::go_to, "base"},
              VariantChange{VariantStyle::next, ""})}}};
    p.pace = {35, 61, 90};
    RuleSet tired = remote;
    tired.debounce_ms = 300;
    Motion slower{"keys", MouseKeys{200, 60, MouseKeysShape{1, 8, 8, 0}}};
    p.variants = {{"tired", "Tired", {tired}, {}}, {"slow", "", {}, {slower}}};
    return p;
}

}  // namespace fettle::profile
