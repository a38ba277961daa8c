#include <algorithm>

#include "core/profile/check_rules.hpp"
#include "core/profile/mode_graph.hpp"

namespace fettle::profile {

namespace {

using Presses = std::vector<const Press*>;

template <typename... Kinds>
bool is_any(const Presses& presses) {
    return std::any_of(presses.begin(), presses.end(), [](const Press* press) {
        return (std::holds_alternative<Kinds>(*press->placed.action) || ...);
    });
}

/// One press: short or long. A double press is two.
bool can_release(const Presses& presses, bool only_remote = false) {
    return std::any_of(presses.begin(), presses.end(), [&](const Press* press) {
        return std::holds_alternative<ReleaseAll>(*press->placed.action) &&
               press->placed.gesture != GestureName::double_press && (press->is_remote || !only_remote);
    });
}

/// Looks at one variant and tells what the variants before it have not.
class ModeRules {
public:
    ModeRules(const Profile& profile, int variant, std::vector<Finding>& findings)
        : profile_(profile), variant_(variant), graph_(profile, variant), findings_(findings) {}

    void run() {
        for (int mode = 0; mode < graph_.size(); ++mode) check_ways(mode);
        for (int mode = 0; mode < graph_.size(); ++mode) check_release(mode);
        for (int mode = 0; mode < graph_.size(); ++mode) check_click(mode);
        if (graph_.presses(0).empty()) add(FindingKind::nothing_assigned, 0, false);
    }

private:
    const std::string& name(int mode) const { return profile_.modes[static_cast<std::size_t>(mode)].name; }

    void add(FindingKind kind, int mode, bool names_mode = true) {
        const std::string where = "/modes/" + std::to_string(mode);
        const bool is_told = std::any_of(findings_.begin(), findings_.end(), [&](const Finding& f) {
            return f.kind == kind && f.where == where;
        });
        if (is_told) return;
        Finding finding{kind, where, {}};
        if (names_mode) finding.subjects.push_back(name(mode));
        if (variant_ > 0 && names_mode)
            finding.subjects[0] +=
                " (" + profile_.variants[static_cast<std::size_t>(variant_) - 1].name + ")";
        if (kind == FindingKind::mode_without_way_back) finding.subjects.push_back(name(0));
        findings_.push_back(std::move(finding));
    }

    void check_ways(int mode) {
        if (!graph_.is_reached(mode)) return add(FindingKind::mode_never_reached, mode);
        if (!graph_.is_stayed_in(mode) || graph_.reached_from(mode)[0]) return;
        const auto& exits = graph_.exits(mode);
        const bool has_exit = std::any_of(exits.begin(), exits.end(), [&](int to) { return to != mode; });
        add(has_exit ? FindingKind::mode_without_way_back : FindingKind::mode_without_exit, mode);
    }

    void check_release(int mode) {
        bool can = can_release(graph_.presses(mode));
        for (const HeldMode& held : graph_.held_modes()) {
            if (held.mode != mode || !can) continue;
            // A remote's button that is held is let go of by the next one, which counts in the mode before.
            can = can_release(graph_.presses(held)) ||
                  (held.holder->is_remote && can_release(graph_.presses(held.from), true));
        }
        if (!can) add(FindingKind::mode_without_release, mode);
    }

    bool leads_to_click(int mode) const {
        const auto reached = graph_.reached_from(mode);
        for (int to = 0; to < graph_.size(); ++to)
            if (reached[static_cast<std::size_t>(to)] && graph_.can_click(to)) return true;
        return false;
    }
    void check_click(int mode) {
        // A mode that nothing leads to may be chosen by the computer.
        const bool may_stay = graph_.is_stayed_in(mode) || !graph_.is_reached(mode);
        bool is_good = !may_stay || !is_any<Move, Jump>(graph_.presses(mode)) || leads_to_click(mode);
        for (const HeldMode& held : graph_.held_modes())
            if (held.mode == mode && is_any<Move, Jump>(graph_.presses(held)))
                is_good = is_good && leads_to_click(held.from);
        if (!is_good) add(FindingKind::pointer_without_click, mode);
    }

    const Profile& profile_;
    int variant_;
    ModeGraph graph_;
    std::vector<Finding>& findings_;
};

/// Variants that presses in `variant` lead to.
std::vector<int> variants_from(const Profile& profile, int variant) {
    const int count = static_cast<int>(profile.variants.size()) + 1;
    const ModeGraph graph(profile, variant);
    std::vector<int> to;
    const auto add = [&](const Presses& presses) {
        for (const Press* press : presses)
            if (const auto* change = std::get_if<VariantChange>(press->placed.action))
                to.push_back(change->style == VariantStyle::next
                                 ? (variant + 1) % count
                                 : index_of(profile.variants, change->variant) + 1);
    };
    for (int mode = 0; mode < graph.size(); ++mode)
        if (graph.is_stayed_in(mode)) add(graph.presses(mode));
    for (const HeldMode& held : graph.held_modes()) add(graph.presses(held));
    return to;
}

std::vector<bool> variants_reached(const std::vector<std::vector<int>>& exits, int from) {
    std::vector<bool> reached(exits.size(), false);
    std::vector<int> open{from};
    while (!open.empty()) {
        const auto now = static_cast<std::size_t>(open.back());
        open.pop_back();
        if (reached[now]) continue;
        reached[now] = true;
        open.insert(open.end(), exits[now].begin(), exits[now].end());
    }
    return reached;
}

void check_variants(const Profile& profile, std::vector<Finding>& findings) {
    std::vector<std::vector<int>> exits;
    for (std::size_t v = 0; v <= profile.variants.size(); ++v)
        exits.push_back(variants_from(profile, static_cast<int>(v)));
    const auto reached = variants_reached(exits, 0);
    for (std::size_t v = 1; v < exits.size(); ++v)
        if (reached[v] && !variants_reached(exits, static_cast<int>(v))[0])
            findings.push_back({FindingKind::variant_without_way_back,
                                "/variants/" + std::to_string(v - 1),
                                {profile.variants[v - 1].name}});
}

}  // namespace

void check_modes(const Profile& profile, std::vector<Finding>& findings) {
    if (profile.modes.empty()) {
        findings.push_back({FindingKind::nothing_assigned, "/modes", {}});
        return;
    }
    for (std::size_t v = 0; v <= profile.variants.size(); ++v)
        ModeRules(profile, static_cast<int>(v), findings).run();
    check_variants(profile, findings);
}

}  // namespace fettle::profile
