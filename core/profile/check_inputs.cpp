#include <algorithm>
#include <map>

#include "core/profile/check_rules.hpp"
#include "core/profile/workable.hpp"

namespace fettle::profile {

namespace {

bool is_infrared(const Profile& profile, const std::string& input) {
    const Input* found = find_named(profile.inputs, input);
    return found != nullptr && std::holds_alternative<Infrared>(found->source);
}

/// The device's step of a deflection (records.cpp).
int step_of(int permille) {
    return (permille * 255 + 500) / 1000;
}

/// A deflection past the farther threshold passes the nearer one first. The nearer input can stay out of it
/// only if it waits, and is ignored when the other one was accepted meanwhile.
bool works_both(const Profile& profile, const Input& a, const Input& b) {
    const auto& one = std::get<Axis>(a.source);
    const auto& other = std::get<Axis>(b.source);
    if (one.axis != other.axis || one.side != other.side) return false;
    if (step_of(one.on_permille) == step_of(other.on_permille)) return true;
    const Input& nearer = one.on_permille < other.on_permille ? a : b;
    for (std::size_t v = 0; v <= profile.variants.size(); ++v) {
        const RuleSet* rules = rules_in(profile, static_cast<int>(v), nearer.rules);
        if (rules == nullptr || rules->acceptance_ms == 0 || rules->guard_ms == 0) return true;
    }
    return false;
}

bool is_one_source(const Profile& profile, const Input& a, const Input& b) {
    if (a.source.index() != b.source.index()) return false;
    if (const auto* line = std::get_if<Switch>(&a.source))
        return line->line == std::get<Switch>(b.source).line;
    if (std::holds_alternative<Axis>(a.source)) return works_both(profile, a, b);
    return std::holds_alternative<Infrared>(a.source) && a.source == b.source;
}

void check_sources(const Profile& profile, std::vector<Finding>& findings) {
    for (std::size_t i = 0; i < profile.inputs.size(); ++i)
        for (std::size_t j = 0; j < i; ++j)
            if (is_one_source(profile, profile.inputs[i], profile.inputs[j]))
                findings.push_back({FindingKind::same_source_twice,
                                    "/inputs/" + std::to_string(i),
                                    {profile.inputs[j].name, profile.inputs[i].name}});
}

void check_assignments(const Profile& profile, std::vector<Finding>& findings) {
    std::map<std::string, bool> does_something;
    for (std::size_t m = 0; m < profile.modes.size(); ++m) {
        const Mode& mode = profile.modes[m];
        for (std::size_t a = 0; a < mode.assignments.size(); ++a) {
            const Assignment& one = mode.assignments[a];
            if (one.short_press || one.long_press || one.double_press) does_something[one.input] = true;
            const bool is_second = std::any_of(
                mode.assignments.begin(), mode.assignments.begin() + static_cast<std::ptrdiff_t>(a),
                [&](const Assignment& before) { return before.input == one.input; });
            if (is_second)
                findings.push_back({FindingKind::gesture_assigned_twice,
                                    "/modes/" + std::to_string(m) + "/assignments/" + std::to_string(a),
                                    {one.input, mode.name}});
        }
    }
    for (std::size_t i = 0; i < profile.inputs.size(); ++i)
        if (!does_something.contains(profile.inputs[i].name))
            findings.push_back(
                {FindingKind::input_does_nothing, "/inputs/" + std::to_string(i), {profile.inputs[i].name}});
}

/// A remote sends one button at a time: what works only while one of its buttons is held needs another input
/// to use it.
void check_one_remote(const Profile& profile, std::vector<Finding>& findings) {
    const auto placed = placed_actions(profile);
    const auto used_by_others = [&](int mode, const std::string& holder, auto&& is_use) {
        return std::any_of(placed.begin(), placed.end(), [&](const Placed& p) {
            return p.mode == mode && *p.input != holder && !is_infrared(profile, *p.input) &&
                   is_use(*p.action);
        });
    };
    for (const Placed& p : placed) {
        if (!is_infrared(profile, *p.input)) continue;
        bool needs_two = false;
        if (const auto* change = std::get_if<ModeChange>(p.action);
            change != nullptr && change->style == ModeStyle::while_held) {
            const int to = index_of(profile.modes, change->mode);
            needs_two = to >= 0 && !used_by_others(to, *p.input, [](const Action&) { return true; });
        } else if (const auto* scale = std::get_if<Scale>(p.action);
                   scale != nullptr && scale->style == ScaleStyle::while_held) {
            needs_two = !used_by_others(p.mode, *p.input,
                                        [](const Action& a) { return std::holds_alternative<Move>(a); });
        } else if (const auto* chord = std::get_if<Chord>(p.action);
                   chord != nullptr && chord->hold == ChordHold::held && chord->stroke.usage == 0) {
            needs_two = !used_by_others(p.mode, *p.input, [](const Action&) { return true; });
        }
        if (needs_two)
            findings.push_back({FindingKind::needs_two_buttons,
                                pointer_to(p),
                                {*p.input, profile.modes[static_cast<std::size_t>(p.mode)].name}});
    }
}

}  // namespace

void check_inputs(const Profile& profile, std::vector<Finding>& findings) {
    check_sources(profile, findings);
    check_assignments(profile, findings);
    check_one_remote(profile, findings);
}

}  // namespace fettle::profile
