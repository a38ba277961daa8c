#include <algorithm>

#include "core/profile/check_rules.hpp"
#include "core/profile/workable.hpp"

namespace fettle::profile {

namespace {

constexpr std::uint8_t k_enter = 0x28, k_backspace = 0x2A, k_delete = 0x4C;

bool is_erasing(std::uint8_t usage) {
    return usage == k_enter || usage == k_backspace || usage == k_delete;
}

const std::string& mode_name(const Profile& profile, int mode) {
    return profile.modes[static_cast<std::size_t>(mode)].name;
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
    const auto is_without_release = [&](int mode) {
        return std::any_of(findings.begin(), findings.end(), [&](const Finding& f) {
            return f.kind == FindingKind::mode_without_release && f.where == "/modes/" + std::to_string(mode);
        });
    };
    std::vector<Finding> held;
    for (const Placed& p : placed_actions(profile)) {
        // A latch alone ends with the next key, and only where there is none it stays. Another press of the
        // same input ends what locks and drags.
        const auto* latch = std::get_if<Latch>(p.action);
        const bool lets_go_itself = latch == nullptr || latch->style != LatchStyle::latch_only;
        if (stays_held(*p.action) && !lets_go_itself && is_without_release(p.mode))
            held.push_back(
                {FindingKind::held_without_release, pointer_to(p), {*p.input, mode_name(profile, p.mode)}});
        if (const auto* chord = std::get_if<Chord>(p.action)) check_chord(profile, p, *chord, held);
    }
    findings.insert(findings.end(), held.begin(), held.end());
}

}  // namespace fettle::profile
