#include "core/profile/mode_graph.hpp"

#include <algorithm>

namespace fettle::profile {

std::vector<Placed> placed_actions(const Profile& profile) {
    std::vector<Placed> all;
    for (std::size_t m = 0; m < profile.modes.size(); ++m) {
        const auto& assignments = profile.modes[m].assignments;
        for (std::size_t a = 0; a < assignments.size(); ++a) {
            const Assignment& one = assignments[a];
            const auto add = [&](const std::optional<Action>& action, GestureName gesture) {
                if (action)
                    all.push_back({static_cast<int>(m), static_cast<int>(a), gesture, &*action, &one.input});
            };
            add(one.short_press, GestureName::short_press);
            add(one.long_press, GestureName::long_press);
            add(one.double_press, GestureName::double_press);
        }
    }
    return all;
}

std::string pointer_to(const Placed& placed) {
    static constexpr const char* k_keys[] = {"short", "long", "double"};
    return "/modes/" + std::to_string(placed.mode) + "/assignments/" + std::to_string(placed.assignment) +
           "/" + k_keys[static_cast<std::size_t>(placed.gesture)];
}

ModeGraph::ModeGraph(const Profile& profile)
    : exits_(profile.modes.size()), entered_to_stay_(profile.modes.size(), false) {
    if (!entered_to_stay_.empty()) entered_to_stay_[0] = true;
    for (const Placed& placed : placed_actions(profile)) {
        const auto* change = std::get_if<ModeChange>(placed.action);
        if (change == nullptr) continue;
        const int next = (placed.mode + 1) % size();
        const int to = change->style == ModeStyle::next ? next : index_of(profile.modes, change->mode);
        if (to < 0) continue;
        auto& exits = exits_[static_cast<std::size_t>(placed.mode)];
        if (std::find(exits.begin(), exits.end(), to) == exits.end()) exits.push_back(to);
        if (change->style != ModeStyle::while_held) entered_to_stay_[static_cast<std::size_t>(to)] = true;
    }
}

std::vector<bool> ModeGraph::reached_from(int mode) const {
    std::vector<bool> reached(exits_.size(), false);
    std::vector<int> open{mode};
    while (!open.empty()) {
        const int at = open.back();
        open.pop_back();
        if (reached[static_cast<std::size_t>(at)]) continue;
        reached[static_cast<std::size_t>(at)] = true;
        open.insert(open.end(), exits(at).begin(), exits(at).end());
    }
    return reached;
}

bool ModeGraph::is_only_held(int mode) const {
    return !entered_to_stay_.at(static_cast<std::size_t>(mode));
}

}  // namespace fettle::profile
