// check() against the real engine: profiles are drawn, and every mode that presses can reach is tried out.
#include <doctest/doctest.h>
#include <rapidcheck.h>

#include <set>

#include "core/profile/check.hpp"
#include "core/profile/document.hpp"
#include "tests/profile/device_model.hpp"
#include "tests/profile/random_profile.hpp"

namespace fettle::profile {
namespace {

const UsStrokes k_us;

/// What the engine itself shows of a profile.
struct Shown {
    std::set<int> stays;        ///< modes that the device can be in with every hand off
    std::set<int> no_way_back;  ///< of these: no presses lead to the first mode with every hand off
    std::set<int>
        no_click;  ///< modes, held ones too, in which the pointer moves, and no presses lead to a click
    std::set<int> no_release;  ///< modes, held ones too, in which no single press releases everything
};

/// What can be done from a mode with every hand off, with one input held at most.
struct Doings {
    std::set<int> next;
    std::set<int> moves;  ///< modes in which the pointer moved: this one, and those that were held from it
    bool clicks = false;
};

/// What is down cannot be pressed, save a remote's button: the thumb leaves it anyway, and then the mode
/// before counts. again: a switch may be let go of and pressed once more, too.
bool can_release(const DeviceModel& device, bool again = false) {
    for (int input = 0; input < device.inputs(); ++input)
        for (int gesture = 0; gesture < 2; ++gesture) {
            DeviceModel trial = device;
            if ((again || trial.is_remote(input)) && trial.is_down(input)) trial.end(input);
            if (!trial.is_down(input) && trial.press(input, gesture).released && !trial.holds_anything())
                return true;
        }
    return false;
}

Doings explore(const DeviceModel& at, Shown& shown) {
    Doings found;
    const auto count = [&](const Seen& seen) {
        for (int mode = 0; mode < 16; ++mode)
            if (((seen.moved_in >> mode) & 1u) != 0) found.moves.insert(mode);
        found.clicks = found.clicks || seen.clicked;
    };
    if (!can_release(at)) shown.no_release.insert(at.mode());
    for (int input = 0; input < at.inputs(); ++input)
        for (int gesture = 0; gesture < 3; ++gesture) {
            DeviceModel held = at;
            const Seen begun = held.begin(input, gesture);
            count(begun);
            if (held.mode() != at.mode() && held.is_down(input)) {
                // It may be a mode for as long as it is held: another hand works in it.
                DeviceModel after = held;
                after.end(input);
                const bool is_held = begun.held_mode && after.mode() == at.mode();
                if (is_held && !can_release(held)) shown.no_release.insert(held.mode());
                for (int other = 0; other < at.inputs(); ++other)
                    for (int second = 0; second < 3; ++second) {
                        DeviceModel both = held;
                        if (both.is_down(other)) continue;
                        count(both.press(other, second));
                        both.all_up();
                        both.run(DeviceModel::k_settle_ms);
                        found.next.insert(both.mode());
                    }
            }
            count(held.end(input));
            found.next.insert(held.mode());
        }
    return found;
}

Shown show(const Loaded& loaded) {
    Shown shown;
    std::map<int, Doings> doings;
    std::vector<std::pair<int, DeviceModel>> open{{0, DeviceModel(loaded)}};
    // Each mode is entered as presses lead to it.
    while (!open.empty()) {
        const auto [mode, device] = open.back();
        open.pop_back();
        if (doings.contains(mode)) continue;
        doings[mode] = explore(device, shown);
        for (int input = 0; input < device.inputs(); ++input)
            for (int gesture = 0; gesture < 3; ++gesture) {
                DeviceModel next = device;
                next.press(input, gesture);
                if (!doings.contains(next.mode())) open.emplace_back(next.mode(), next);
                DeviceModel held = device;
                held.begin(input, gesture);
                if (held.mode() == mode) continue;
                for (int other = 0; other < device.inputs(); ++other)
                    for (int second = 0; second < 3; ++second) {
                        DeviceModel both = held;
                        if (both.is_down(other)) continue;
                        both.press(other, second);
                        both.all_up();
                        both.run(DeviceModel::k_settle_ms);
                        if (!doings.contains(both.mode())) open.emplace_back(both.mode(), both);
                    }
            }
    }
    for (const auto& [mode, own] : doings) {
        shown.stays.insert(mode);
        std::set<int> seen;
        std::vector<int> todo{mode};
        bool clicks = false;
        while (!todo.empty()) {
            const int now = todo.back();
            todo.pop_back();
            if (!seen.insert(now).second) continue;
            clicks = clicks || doings[now].clicks;
            todo.insert(todo.end(), doings[now].next.begin(), doings[now].next.end());
        }
        if (!seen.contains(0)) shown.no_way_back.insert(mode);
        if (!clicks) shown.no_click.insert(own.moves.begin(), own.moves.end());
    }
    return shown;
}

Action draw_action(int modes) {
    switch (draw(0, 9)) {
        case 0:
        case 1: return ReleaseAll{};
        case 2: return ModeChange{ModeStyle::go_to, "mode" + std::to_string(draw(0, modes - 1))};
        case 3: return ModeChange{ModeStyle::next, ""};
        case 4:
        case 5: return ModeChange{ModeStyle::while_held, "mode" + std::to_string(draw(0, modes - 1))};
        case 6: return Button{1, static_cast<ButtonStyle>(draw(0, 2))};
        case 7: return Move{Direction::right, "far"};
        default: return Latch{0x02, LatchStyle::lock};
    }
}

RuleSet draw_rules(const std::string& name) {
    RuleSet r;
    r.name = name;
    r.act_on_release = draw(0, 3) == 0;
    const bool is_cut = draw(0, 4) == 0;  // a long press that the longest hold cuts off
    r.long_ms = is_cut ? 5000 : draw(0, 2) == 0 ? 0 : 200;
    r.double_ms = draw(0, 2) == 0 ? 0 : 150;
    r.debounce_ms = draw(0, 4) == 0 ? 200 : 0;
    r.longest_hold_ms = is_cut ? 4500 : 6000;
    r.holdover_ms = 120;
    return r;
}

/// Up to 3 modes, up to 4 inputs: switches and buttons of one remote.
Profile draw_small() {
    Profile p;
    p.rule_sets = {draw_rules("switches"), draw_rules("remote")};
    p.rule_sets[1].double_ms = p.rule_sets[1].double_ms == 0 ? 0 : 400;
    p.rule_sets[1].debounce_ms = 0;
    p.motions = {{"far", Travel{}}};
    const int modes = static_cast<int>(draw(1, 3));
    draw_names(p.inputs, "input", 2, 4);
    for (std::size_t i = 0; i < p.inputs.size(); ++i) {
        const bool is_remote = draw(0, 2) == 0;
        p.inputs[i].rules = is_remote ? "remote" : "switches";
        if (is_remote)
            p.inputs[i].source = Infrared{Protocol::nec, 0x61, static_cast<int>(i) + 1, 0, 0};
        else if (draw(0, 7) != 0)
            p.inputs[i].source = Switch{static_cast<int>(i) + 1, true};
        else
            p.inputs[i].source = Untaught{};
    }
    for (int m = 0; m < modes; ++m) {
        Mode& mode = p.modes.emplace_back();
        mode.name = "mode" + std::to_string(m);
        for (const Input& input : p.inputs) {
            Assignment one{input.name, {}, {}, {}};
            if (draw(0, 4) != 0) one.short_press = draw_action(modes);
            if (draw(0, 3) == 0) one.long_press = draw_action(modes);
            if (draw(0, 5) == 0) one.double_press = draw_action(modes);
            if (one.short_press || one.long_press || one.double_press) mode.assignments.push_back(one);
        }
    }
    return p;
}

bool says(const std::vector<Finding>& findings, FindingKind kind, int mode) {
    return std::any_of(findings.begin(), findings.end(), [&](const Finding& f) {
        return f.kind == kind && f.where == "/modes/" + std::to_string(mode);
    });
}

TEST_CASE("check model: what check() says of ways back, clicks and release is what the engine shows") {
    int refused = 0, passed = 0;
    CHECK(rc::check("check against the engine", [&] {
        const Profile p = draw_small();
        const auto compiled = build_image(p, k_us);
        RC_ASSERT(compiled.has_value());
        const Loaded loaded(compiled->image);
        RC_ASSERT(loaded.is_good);
        const auto findings = check(p, &k_us);
        const Shown shown = show(loaded);
        RC_LOG() << write(p);
        for (const Finding& f : findings) RC_LOG() << finding_name(f.kind) << " " << f.where << "\n";
        for (int mode = 0; mode < static_cast<int>(p.modes.size()); ++mode) {
            RC_LOG() << "mode " << mode << ": no way " << shown.no_way_back.contains(mode) << ", no click "
                     << shown.no_click.contains(mode) << ", no release " << shown.no_release.contains(mode)
                     << "\n";
            const bool is_left_alone = !shown.stays.contains(mode);
            const bool no_way = says(findings, FindingKind::mode_without_exit, mode) ||
                                says(findings, FindingKind::mode_without_way_back, mode);
            RC_ASSERT(no_way == shown.no_way_back.contains(mode));
            // A mode that cannot be reached is refused too; nothing shows it.
            if (shown.no_release.contains(mode))
                RC_ASSERT(says(findings, FindingKind::mode_without_release, mode));
            if (!is_left_alone) {
                RC_ASSERT(says(findings, FindingKind::mode_without_release, mode) ==
                          shown.no_release.contains(mode));
                RC_ASSERT(says(findings, FindingKind::pointer_without_click, mode) ==
                          shown.no_click.contains(mode));
            }
            ++(no_way || shown.no_release.contains(mode) ? refused : passed);
        }
    }));
    MESSAGE(refused << " modes refused, " << passed << " passed");
}

Action draw_any_action(int modes) {
    switch (draw(0, 5)) {
        case 0: return Drag{static_cast<uint8_t>(draw(1, 7))};
        case 1: return Latch{static_cast<uint8_t>(draw(1, 255)), static_cast<LatchStyle>(draw(0, 2))};
        case 2: return Chord{{0x02, 0x04}, ChordHold::held, ""};
        case 3: return Consumer{0x0E9, true};
        default: return draw_action(modes);
    }
}

TEST_CASE("check model: what check() lets pass is empty after one press, whatever 12 presses did before") {
    int tried = 0, held = 0;
    CHECK(rc::check("release from anywhere", [&] {
        Profile p = draw_small();
        for (Mode& mode : p.modes)
            for (Assignment& one : mode.assignments)
                if (one.short_press && draw(0, 1) == 0)
                    one.short_press = draw_any_action(static_cast<int>(p.modes.size()));
        // One switch that releases, or few profiles would pass.
        p.inputs.back() = {p.inputs.back().name, "switches", Switch{8, true}};
        for (Mode& mode : p.modes) {
            std::erase_if(mode.assignments,
                          [&](const Assignment& one) { return one.input == p.inputs.back().name; });
            mode.assignments.push_back({p.inputs.back().name, ReleaseAll{}, {}, {}});
        }
        const auto findings = check(p, &k_us);
        const bool is_refused = std::any_of(findings.begin(), findings.end(),
                                            [](const Finding& f) { return is_lock_out(f.kind); });
        if (is_refused) return;
        const auto compiled = build_image(p, k_us);
        RC_ASSERT(compiled.has_value());
        const Loaded loaded(compiled->image);
        DeviceModel device(loaded);
        RC_LOG() << write(p);
        for (int step = 0; step < 12; ++step) {
            const int input = static_cast<int>(draw(0, device.inputs() - 1));
            const int gesture = static_cast<int>(draw(0, 2));
            if (device.is_down(input) || draw(0, 1) == 0) {
                device.all_up();
                device.run(static_cast<int>(draw(1, 700)));
            }
            RC_LOG() << "input " << input << " gesture " << gesture << " in mode " << device.mode() << "\n";
            // Another hand may hold one input; at most that.
            const bool is_held = device.is_any_down();
            device.begin(input, gesture);
            if (is_held || draw(0, 1) == 0) device.end(input);
            device.run(static_cast<int>(draw(0, 20)));
            ++tried;
            held += device.holds_anything() ? 1 : 0;
            // A tap is heard whatever came just before: rules of pressing too fast are off here.
            DeviceModel rested = device;
            rested.run(DeviceModel::k_settle_ms);
            RC_ASSERT(can_release(rested, true));
        }
    }));
    CHECK(tried > 100);
    CHECK(held > 10);
}

}  // namespace
}  // namespace fettle::profile
