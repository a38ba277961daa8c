#include <algorithm>

#include "core/profile/check_rules.hpp"
#include "core/profile/mode_graph.hpp"

namespace fettle::profile {

namespace {

template <typename... Kinds>
bool is_any_of(const Action& action) {
    return (std::holds_alternative<Kinds>(action) || ...);
}

std::string mode_pointer(int mode) {
    return "/modes/" + std::to_string(mode);
}

void check_ways(const Profile& profile, const ModeGraph& graph, std::vector<Finding>& findings) {
    const auto reached = graph.reached_from(0);
    for (int mode = 0; mode < graph.size(); ++mode) {
        const std::string& name = profile.modes[static_cast<std::size_t>(mode)].name;
        if (!reached[static_cast<std::size_t>(mode)]) {
            findings.push_back({FindingKind::mode_never_reached, mode_pointer(mode), {name}});
            continue;
        }
        if (graph.size() == 1 || graph.is_only_held(mode)) continue;
        const auto& exits = graph.exits(mode);
        const bool has_exit = std::any_of(exits.begin(), exits.end(), [&](int to) { return to != mode; });
        if (!has_exit && mode != 0)
            findings.push_back({FindingKind::mode_without_exit, mode_pointer(mode), {name}});
        else if (!graph.reached_from(mode)[0])
            findings.push_back(
                {FindingKind::mode_without_way_back, mode_pointer(mode), {name, profile.modes.front().name}});
    }
}

void check_clicks(const Profile& profile, const ModeGraph& graph, std::vector<Finding>& findings) {
    std::vector<bool> moves(profile.modes.size(), false), clicks(profile.modes.size(), false);
    for (const Placed& placed : placed_actions(profile)) {
        const auto mode = static_cast<std::size_t>(placed.mode);
        if (is_any_of<Move, Jump>(*placed.action)) moves[mode] = true;
        if (is_any_of<Button>(*placed.action)) clicks[mode] = true;
    }
    for (int mode = 0; mode < graph.size(); ++mode) {
        if (!moves[static_cast<std::size_t>(mode)]) continue;
        const auto reached = graph.reached_from(mode);
        bool can_click = false;
        for (std::size_t m = 0; m < clicks.size(); ++m) can_click = can_click || (reached[m] && clicks[m]);
        // A mode that is held is left by letting go, so the modes it was entered from count as well.
        if (!can_click && graph.is_only_held(mode))
            can_click = std::find(clicks.begin(), clicks.end(), true) != clicks.end();
        if (!can_click)
            findings.push_back({FindingKind::pointer_without_click,
                                mode_pointer(mode),
                                {profile.modes[static_cast<std::size_t>(mode)].name}});
    }
}

}  // namespace

void check_modes(const Profile& profile, std::vector<Finding>& findings) {
    if (profile.modes.empty()) {
        findings.push_back({FindingKind::nothing_assigned, "/modes", {}});
        return;
    }
    const ModeGraph graph(profile);
    check_ways(profile, graph, findings);
    check_clicks(profile, graph, findings);
    const auto placed = placed_actions(profile);
    if (std::none_of(placed.begin(), placed.end(), [](const Placed& p) { return p.mode == 0; }))
        findings.push_back({FindingKind::nothing_assigned, mode_pointer(0), {}});
}

}  // namespace fettle::profile
