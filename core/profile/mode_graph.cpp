#include "core/profile/mode_graph.hpp"

#include <algorithm>

namespace fettle::profile {

namespace {

bool is_click(const Press& press) {
    return std::holds_alternative<Button>(*press.placed.action);
}

}  // namespace

ModeGraph::ModeGraph(const Profile& profile, int variant)
    : all_(workable_presses(profile, variant)),
      presses_(profile.modes.size()),
      exits_(profile.modes.size()),
      clicks_(profile.modes.size(), false),
      reached_(profile.modes.size(), false) {
    for (const Press& press : all_) presses_[at(press.placed.mode)].push_back(&press);
    for (int mode = 0; mode < size(); ++mode) find_exits(profile, mode);
    stayed_in_ = size() == 0 ? std::vector<bool>{} : reached_from(0);
    reached_ = stayed_in_;
    for (const HeldMode& held : held_from_any_)
        if (is_stayed_in(held.from)) {
            held_.push_back(held);
            reached_[at(held.mode)] = true;
        }
}

void ModeGraph::find_exits(const Profile& profile, int mode) {
    for (const Press* press : presses(mode)) {
        const auto* change = std::get_if<ModeChange>(press->placed.action);
        clicks_[at(mode)] = clicks_[at(mode)] || is_click(*press);
        if (change == nullptr) continue;
        if (change->style != ModeStyle::while_held) {
            add_exit(profile, mode, *press, mode);
            continue;
        }
        // Begun and ended at once, it is as if nothing had been pressed.
        const HeldMode held{target_of(profile, *press, mode), mode, press};
        if (!press->lasts || held.mode < 0 || held.mode == mode) continue;
        held_from_any_.push_back(held);
        for (const Press* other : presses(held)) {
            clicks_[at(mode)] = clicks_[at(mode)] || is_click(*other);
            const auto* further = std::get_if<ModeChange>(other->placed.action);
            if (further != nullptr && further->style != ModeStyle::while_held)
                add_exit(profile, mode, *other, held.mode);
        }
    }
}

void ModeGraph::add_exit(const Profile& profile, int from, const Press& press, int in) {
    const int to = target_of(profile, press, in);
    auto& exits = exits_[at(from)];
    if (to >= 0 && std::find(exits.begin(), exits.end(), to) == exits.end()) exits.push_back(to);
}

int ModeGraph::target_of(const Profile& profile, const Press& press, int in) const {
    const auto& change = std::get<ModeChange>(*press.placed.action);
    return change.style == ModeStyle::next ? (in + 1) % size() : index_of(profile.modes, change.mode);
}

std::vector<const Press*> ModeGraph::presses(const HeldMode& held) const {
    std::vector<const Press*> others;
    for (const Press* press : presses(held.mode)) {
        const bool is_holder = *press->placed.input == *held.holder->placed.input;
        if (!is_holder && !(press->is_remote && held.holder->is_remote)) others.push_back(press);
    }
    return others;
}

std::vector<bool> ModeGraph::reached_from(int mode) const {
    std::vector<bool> reached(exits_.size(), false);
    std::vector<int> open{mode};
    while (!open.empty()) {
        const int now = open.back();
        open.pop_back();
        if (reached[at(now)]) continue;
        reached[at(now)] = true;
        open.insert(open.end(), exits(now).begin(), exits(now).end());
    }
    return reached;
}

}  // namespace fettle::profile
