#include "core/profile/check.hpp"

#include <algorithm>
#include <array>

#include "core/profile/check_rules.hpp"

namespace fettle::profile {

namespace {

struct Named {
    FindingKind kind;
    std::string_view name;
    bool is_lock_out;
};

constexpr std::array k_named = {
    Named{FindingKind::mode_without_exit, "mode-without-exit", true},
    Named{FindingKind::mode_without_way_back, "mode-without-way-back", true},
    Named{FindingKind::mode_without_release, "mode-without-release", true},
    Named{FindingKind::held_without_release, "held-without-release", true},
    Named{FindingKind::gesture_assigned_twice, "gesture-assigned-twice", true},
    Named{FindingKind::same_source_twice, "same-source-twice", true},
    Named{FindingKind::pointer_without_click, "pointer-without-click", true},
    Named{FindingKind::text_not_typable, "text-not-typable", true},
    Named{FindingKind::layout_unknown, "layout-unknown", true},
    Named{FindingKind::needs_two_buttons, "needs-two-buttons", true},
    Named{FindingKind::nothing_assigned, "nothing-assigned", true},
    Named{FindingKind::mode_never_reached, "mode-never-reached", false},
    Named{FindingKind::input_does_nothing, "input-does-nothing", false},
    Named{FindingKind::modifier_held_long, "modifier-held-long", false},
    Named{FindingKind::modifier_repeated, "modifier-repeated", false},
    Named{FindingKind::erasing_repeated, "erasing-repeated", false},
    Named{FindingKind::password_in_text, "password-in-text", false},
    Named{FindingKind::shorter_than_remote, "shorter-than-remote", false},
    Named{FindingKind::delay_shorter_than_remote, "delay-shorter-than-remote", false},
    Named{FindingKind::holdover_shorter_than_remote, "holdover-shorter-than-remote", false},
    Named{FindingKind::variant_without_way_back, "variant-without-way-back", false},
};

const Named& named(FindingKind kind) {
    return k_named.at(static_cast<std::size_t>(kind));
}

}  // namespace

bool is_lock_out(FindingKind kind) {
    return named(kind).is_lock_out;
}

std::string_view finding_name(FindingKind kind) {
    return named(kind).name;
}

std::optional<FindingKind> finding_kind(std::string_view name) {
    const auto at =
        std::find_if(k_named.begin(), k_named.end(), [&](const Named& n) { return n.name == name; });
    if (at == k_named.end()) return std::nullopt;
    return at->kind;
}

std::vector<Finding> check(const Profile& profile, const StrokeSource* layout) {
    std::vector<Finding> findings;
    check_modes(profile, findings);
    check_inputs(profile, findings);
    check_holding(profile, findings);
    check_texts(profile, layout, findings);
    check_times(profile, findings);
    std::stable_sort(findings.begin(), findings.end(), [](const Finding& a, const Finding& b) {
        return std::pair(!is_lock_out(a.kind), a.kind) < std::pair(!is_lock_out(b.kind), b.kind);
    });
    return findings;
}

std::vector<Finding> refusals(const std::vector<Finding>& findings,
                              const std::vector<std::string>& accepted) {
    std::vector<Finding> left;
    for (const Finding& finding : findings) {
        const bool is_accepted =
            std::find(accepted.begin(), accepted.end(), finding_name(finding.kind)) != accepted.end();
        if (is_lock_out(finding.kind) || !is_accepted) left.push_back(finding);
    }
    return left;
}

}  // namespace fettle::profile
