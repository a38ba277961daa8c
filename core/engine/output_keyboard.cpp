// The keyboard report: modifiers and up to six usages, rebuilt from the list of holds.
#include "core/engine/output.hpp"

namespace fettle {
namespace engine {

/// The keys that the next keyboard report lets go.
Output::Plan Output::plan_key_releases() const {
    Plan plan = {0, k_nothing};
    for (uint8_t i = 0; i < count_; ++i) {
        const Hold& h = holds_[i];
        if (h.is_key() && h.state == HoldState::down && !h.is_wanted()) {
            plan.releases = static_cast<uint16_t>(plan.releases | (uint16_t(1) << i));
        }
    }
    return plan;
}

/// Lets go what is due, or presses the next key: one a report, so that the host sees them in order.
Output::Plan Output::plan_keys() const {
    Plan plan = plan_key_releases();
    for (uint8_t i = 0; i < count_; ++i) {
        const Hold& h = holds_[i];
        if (!h.is_key() || h.state != HoldState::waiting) continue;
        if (is_blocked(i)) break;
        plan.press = i;
        uint8_t usages[6];
        // A seventh held key is lawful and shows as ErrorRollOver; a seventh tapped one would never be seen.
        if (h.is_tap() && h.value != 0 && fill_usages(plan, usages) > 6) plan.press = k_nothing;
        break;
    }
    return plan;
}

/// Fills six usages; gives how many different ones are down (above six: at least seven).
uint8_t Output::fill_usages(const Plan& plan, uint8_t* usages) const {
    uint8_t used = 0;
    memset(usages, 0, 6);
    for (uint8_t i = 0; i < count_; ++i) {
        const Hold& h = holds_[i];
        const bool is_released = ((plan.releases >> i) & 1u) != 0;
        if (!h.is_key() || h.value == 0 || !(i == plan.press || (h.is_shown() && !is_released))) continue;
        if (used <= 6 && memchr(usages, static_cast<int>(h.value), used) != nullptr) continue;
        if (used < 6) usages[used] = static_cast<uint8_t>(h.value);
        ++used;
    }
    if (used > 6) memset(usages, k_error_roll_over, 6);
    return used;
}

void Output::build_keyboard(TickOutputs& out) {
    if ((in_flight_ & k_taken_keyboard) != 0) return;
    uint8_t usages[6] = {0, 0, 0, 0, 0, 0};
    uint8_t modifiers = 0;
    if ((forced_ & k_force_keyboard) != 0) {
        forced_ = static_cast<uint8_t>(forced_ & ~k_force_keyboard);
    } else {
        if (is_drained()) lock_in_report_ = sticky_.locked;
        const Plan plan = plan_keys();
        modifiers = wanted_modifiers(plan);
        const bool has_keys = plan.releases != 0 || plan.press != k_nothing;
        if (modifiers == shown_modifiers_ ? !has_keys : are_modifiers_frozen()) return;
        fill_usages(plan, usages);
        apply(plan);
        if (modifiers == shown_modifiers_ && memcmp(usages, shown_usages_, sizeof(usages)) == 0) {
            complete(HoldKind::keys);  // somebody else holds the same: the host has nothing to see
            return;
        }
    }
    shown_modifiers_ = modifiers;
    memcpy(shown_usages_, usages, sizeof(usages));
    Report& report = hand_over(Endpoint::keyboard, k_keyboard_report_bytes, out);
    report.bytes[0] = modifiers;
    report.bytes[1] = 0;
    memcpy(report.bytes + 2, usages, sizeof(usages));
}

}  // namespace engine
}  // namespace fettle
