// Who goes first, and which modifiers the host must know of when it does.
//
// The list is one queue over both endpoints. An earlier thing blocks a later one:
//   earlier                    | later key                  | later button or consumer usage
//   ---------------------------+----------------------------+-------------------------------
//   tap or click, any state    | blocks                     | blocks
//   waiting, armed, pressing   | blocks                     | blocks
//   down, wanted               | free                       | free (drags are held over other things)
//   down, let go               | blocks                     | blocks
//   key, releasing             | blocks                     | free: it waits for the modifiers anyway
//   button ..., releasing      | blocks if it has modifiers | blocks
// and nothing blocks across endpoints when the earlier one's endpoint is absent.
#include "core/engine/output.hpp"

namespace fettle {
namespace engine {

/// Modifiers that somebody holds or locked by now, for what is called now.
uint8_t Output::ambient_now() const {
    return static_cast<uint8_t>(sticky_.locked | held().press_modifiers);
}

bool Output::is_absent(Endpoint endpoint) const {
    return waited_ms_[static_cast<uint8_t>(endpoint)] >= k_absent_ms;
}

bool Output::blocks(const Hold& earlier, const Hold& later) const {
    const bool is_same_endpoint = earlier.is_key() == later.is_key();
    if (!is_same_endpoint && is_absent(earlier.is_key() ? Endpoint::keyboard : Endpoint::pointer))
        return false;
    if (earlier.is_tap()) return true;
    switch (earlier.state) {
        case HoldState::waiting:
        case HoldState::armed:
        case HoldState::pressing:
        case HoldState::between: return true;
        case HoldState::down: return earlier.let_go_order != 0;
        case HoldState::releasing:
            if (is_same_endpoint) return true;
            return !earlier.is_key() && earlier.needs() != 0;
        case HoldState::gone: return false;
    }
    return false;
}

bool Output::is_blocked(uint8_t place) const {
    for (uint8_t i = 0; i < place; ++i) {
        if (blocks(holds_[i], holds_[place])) return true;
    }
    return false;
}

/// Nothing is on its way whose modifiers a new lock or detent could change.
bool Output::is_drained() const {
    for (uint8_t i = 0; i < count_; ++i) {
        const Hold& h = holds_[i];
        const bool is_let_go_key =
            h.is_key() && !h.is_tap() && (h.state == HoldState::down || h.state == HoldState::releasing);
        if (!h.is_resting() && !is_let_go_key) return false;
    }
    return true;
}

/// Modifiers that are up for release but that the next thing in the queue was called with: kept meanwhile,
/// because a host reads a lone press and release of some modifiers as a request of their own.
uint8_t Output::kept_modifiers(const Plan& plan) const {
    uint8_t kept = shown_modifiers_;
    for (uint8_t i = 0; i < count_; ++i) {
        const Hold& h = holds_[i];
        if (i == plan.press) return 0;
        if (h.state == HoldState::waiting) return static_cast<uint8_t>(kept & h.ambient);
        const bool is_let_go_key = h.is_key() && !h.is_tap();
        if (!h.is_resting() && !is_let_go_key) kept = static_cast<uint8_t>(kept & h.needs());
    }
    return 0;
}

/// The modifiers of the keyboard report after `plan`.
uint8_t Output::wanted_modifiers(const Plan& plan) const {
    uint8_t wanted = lock_in_report_;
    const bool has_pointer = !is_absent(Endpoint::pointer);
    for (uint8_t i = 0; i < count_; ++i) {
        const Hold& h = holds_[i];
        const bool is_pressed = i == plan.press;
        const bool is_released = ((plan.releases >> i) & 1u) != 0;
        bool is_in = false;
        bool is_at_edge = h.is_tap() || h.state == HoldState::pressing || is_pressed;
        if (h.is_key()) {
            is_in = is_pressed || (h.is_shown() && !is_released);
        } else {
            is_in = has_pointer && h.state != HoldState::waiting && h.state != HoldState::gone;
            is_at_edge =
                is_at_edge || (!h.is_resting() && !(h.state == HoldState::down && waits_for_others(i)));
        }
        if (is_in) wanted = static_cast<uint8_t>(wanted | h.modifiers | (is_at_edge ? h.ambient : 0));
    }
    if ((wheel_ | pan_) != 0 && is_drained()) wanted = static_cast<uint8_t>(wanted | scroll_modifiers_);
    return static_cast<uint8_t>(wanted | kept_modifiers(plan));
}

/// The host has known exactly `modifiers` for a frame and no report that changes them is in flight.
bool Output::is_settled(uint8_t modifiers) const {
    if (is_absent(Endpoint::keyboard)) return true;
    return shown_modifiers_ == modifiers && taken_modifiers_ == modifiers && !is_frame_due_;
}

/// A button, consumer or wheel report is on its way with the modifiers that the host knows now.
bool Output::are_modifiers_frozen() const {
    if (is_absent(Endpoint::pointer)) return false;
    if (is_order_at_stake_) return true;
    return (wheel_ | pan_) != 0 && scroll_modifiers_ == shown_modifiers_ && !is_clicking();
}

/// Of two things on the pointer endpoint: was `first` let go before `second`?
bool Output::is_let_go_before(uint8_t first, uint8_t second) const {
    const Hold& a = holds_[first];
    const Hold& b = holds_[second];
    if (a.is_key() || a.let_go_order == 0) return false;
    return a.let_go_order < b.let_go_order || (a.let_go_order == b.let_go_order && first < second);
}

/// A button or consumer usage that was let go waits while something else is at its edges with other
/// modifiers.
bool Output::waits_for_others(uint8_t place) const {
    const Hold& h = holds_[place];
    for (uint8_t i = 0; i < count_; ++i) {
        const Hold& other = holds_[i];
        if (i == place || other.needs() == h.needs()) continue;
        if (other.is_key() && is_absent(Endpoint::keyboard)) continue;
        switch (other.state) {
            case HoldState::armed:
            case HoldState::pressing:
            case HoldState::between: return true;
            case HoldState::down:
                if (other.is_tap() || is_let_go_before(i, place)) return true;
                break;
            case HoldState::releasing:
                if (!other.is_key()) return true;
                break;
            case HoldState::waiting:
            case HoldState::gone: break;
        }
    }
    return false;
}

bool Output::is_clicking() const {
    for (uint8_t i = 0; i < count_; ++i) {
        const Hold& h = holds_[i];
        if (h.kind != HoldKind::buttons || !h.is_tap()) continue;
        if (h.state != HoldState::waiting && h.state != HoldState::armed) return true;
    }
    return false;
}

bool Output::has_open_edge() const {
    for (uint8_t i = 0; i < count_; ++i) {
        if (holds_[i].kind == HoldKind::buttons && !holds_[i].is_resting()) return true;
    }
    return false;
}

bool Output::waits_for_click_gap(const Hold& hold) const {
    if (hold.kind != HoldKind::buttons || edge_age_ms_ >= click_gap_ms_) return false;
    return hold.is_tap() || is_edge_of_click_;
}

}  // namespace engine
}  // namespace fettle
