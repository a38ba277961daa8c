#include <algorithm>

#include "core/profile/check_rules.hpp"
#include "core/profile/mode_graph.hpp"

namespace fettle::profile {

namespace {

constexpr std::uint8_t k_enter = 0x28, k_backspace = 0x2A, k_delete = 0x4C;

bool is_erasing(std::uint8_t usage) {
    return usage == k_enter || usage == k_backspace || usage == k_delete;
}

const std::string& mode_name(const Profile& profile, int mode) {
    return profile.modes[static_cast<std::size_t>(mode)].name;
}

/// One press: short or long. A double press is two.
bool is_release_in_one_press(const Placed& placed) {
    return std::holds_alternative<ReleaseAll>(*placed.action) && placed.gesture != GestureName::double_press;
}

bool stays_held(const Action& action) {
    return std::holds_alternative<Latch>(action) || std::holds_alternative<Drag>(action);
}

void check_chord(const Profile& profile, const Placed& placed, const Chord& chord,
                 std::vector<Finding>& findings) {
    const std::vector<std::string> subjects{*placed.input, mode_name(profile, placed.mode)};
    const bool is_modifier_alone = chord.stroke.usage == 0;
    if (is_modifier_alone && chord.hold == ChordHold::held)
        findings.push_back({FindingKind::modifier_held_long, pointer_to(placed), subjects});
    if (is_modifier_alone && chord.hold == ChordHold::repeated)
        findings.push_back({FindingKind::modifier_repeated, pointer_to(placed), subjects});
    if (is_erasing(chord.stroke.usage) && chord.hold != ChordHold::tapped)
        findings.push_back({FindingKind::erasing_repeated, pointer_to(placed), subjects});
}

}  // namespace

void check_holding(const Profile& profile, std::vector<Finding>& findings) {
    const auto placed = placed_actions(profile);
    std::vector<bool> releases(profile.modes.size(), false);
    for (const Placed& p : placed)
        if (is_release_in_one_press(p)) releases[static_cast<std::size_t>(p.mode)] = true;
    for (std::size_t mode = 0; mode < releases.size(); ++mode)
        if (!releases[mode])
            findings.push_back({FindingKind::mode_without_release,
                                "/modes/" + std::to_string(mode),
                                {profile.modes[mode].name}});
    for (const Placed& p : placed) {
        const auto same = [&](const Placed& other) {
            return other.mode == p.mode && *other.action == *p.action;
        };
        const bool toggles_here = std::any_of(placed.begin(), placed.end(), same);
        const auto* latch = std::get_if<Latch>(p.action);
        // A latch alone ends with the next key, and only where there is none it stays.
        const bool lets_go_itself =
            toggles_here && (latch == nullptr || latch->style != LatchStyle::latch_only);
        if (stays_held(*p.action) && !releases[static_cast<std::size_t>(p.mode)] && !lets_go_itself)
            findings.push_back(
                {FindingKind::held_without_release, pointer_to(p), {*p.input, mode_name(profile, p.mode)}});
        if (const auto* chord = std::get_if<Chord>(p.action)) check_chord(profile, p, *chord, findings);
    }
}

}  // namespace fettle::profile
