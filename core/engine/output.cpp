// The calls: what is to be held, tapped, moved and let go. They only write down; reports are made in tick().
#include "core/engine/output.hpp"

namespace fettle {
namespace engine {

static_assert(sizeof(Output) <= 200, "output's share of the board's memory");

namespace {

/// Within -32767, the report's logical minimum, and 32767.
FETTLE_SHARED void add_saturating(int16_t& to, int16_t more) {
    if (more > 0 && to > 32767 - more) {
        to = 32767;
    } else if (more < 0 && to < -32767 - more) {
        to = -32767;
    } else {
        to = static_cast<int16_t>(to + more);
    }
}

}  // namespace

void Output::reset() {
    memset(static_cast<void*>(this), 0, sizeof(*this));
    edge_age_ms_ = 0xFFFF;
    forced_ = k_force_all;
    is_awake_ = true;
}

bool Output::is_held_elsewhere(HoldKind kind, uint16_t value) const {
    for (uint8_t i = 0; i < count_; ++i) {
        const Hold& h = holds_[i];
        if (h.kind != kind || !h.is_wanted() || value == 0) continue;
        if (kind == HoldKind::keys ? h.value == value : (h.value & value) != 0) return true;
    }
    return false;
}

bool Output::add(uint8_t source, HoldKind kind, uint8_t modifiers, uint16_t value, uint8_t clicks) {
    if (count_ >= k_max_holds) return false;
    const uint8_t ambient = ambient_now();
    if (kind == HoldKind::consumer) {
        for (uint8_t i = 0; i < count_; ++i) {
            if (holds_[i].kind == kind && holds_[i].is_wanted()) let_go_at(i, ambient);
        }
    }
    const bool is_modifier_alone = kind == HoldKind::keys && value == 0;
    if (!is_modifier_alone) {
        modifiers = static_cast<uint8_t>(modifiers | sticky_.latched);
        sticky_.latched = 0;
    }
    const Hold hold = {source,  kind, HoldState::waiting, static_cast<uint8_t>(clicks & 3u), 0, modifiers,
                       ambient, value};
    holds_[count_++] = hold;
    if (kind == HoldKind::buttons) is_edge_open_ = true;
    is_awake_ = true;
    return true;
}

bool Output::hold_keys(uint8_t source, uint8_t modifiers, uint8_t usage) {
    return add(source, HoldKind::keys, modifiers, usage, 1);
}

bool Output::hold_buttons(uint8_t source, uint8_t buttons) {
    return add(source, HoldKind::buttons, 0, buttons, 1);
}

bool Output::hold_consumer(uint8_t source, uint16_t usage) {
    return add(source, HoldKind::consumer, 0, usage, 1);
}

void Output::let_go_at(uint8_t place, uint8_t ambient) {
    Hold& h = holds_[place];
    uint8_t last = 0;
    for (uint8_t i = 0; i < count_; ++i) {
        if (holds_[i].let_go_order > last) last = holds_[i].let_go_order;
    }
    h.let_go_order = last == 255 ? last : static_cast<uint8_t>(last + 1);
    // The release is to be seen with the modifiers of this moment. A thing whose press is still on its way
    // keeps those of the press for both.
    if (h.state == HoldState::down) h.ambient = ambient;
    if (h.kind == HoldKind::buttons) is_edge_open_ = true;
    is_awake_ = true;
}

void Output::let_go(uint8_t source) {
    if (source == k_source_tap) return;
    const uint8_t ambient = ambient_now();
    for (uint8_t i = 0; i < count_; ++i) {
        if (holds_[i].source == source && holds_[i].is_wanted()) let_go_at(i, ambient);
    }
}

bool Output::tap_keys(uint8_t modifiers, uint8_t usage) {
    if (is_held_elsewhere(HoldKind::keys, usage)) return false;
    return add(k_source_tap, HoldKind::keys, modifiers, usage, 1);
}

bool Output::tap_consumer(uint16_t usage) {
    return add(k_source_tap, HoldKind::consumer, 0, usage, 1);
}

bool Output::click(uint8_t buttons, uint8_t count, uint16_t gap_ms) {
    if (is_held_elsewhere(HoldKind::buttons, buttons)) return false;
    click_gap_ms_ = gap_ms;
    return add(k_source_tap, HoldKind::buttons, 0, buttons, count);
}

void Output::latch(LatchStyle style, uint8_t modifiers) {
    sticky_ = press_sticky(sticky_, style, modifiers);
    lock_in_report_ = static_cast<uint8_t>(lock_in_report_ & sticky_.locked);
    is_awake_ = true;
}

bool Output::drag(uint8_t buttons) {
    const uint8_t ambient = ambient_now();
    bool was_on = false;
    for (uint8_t i = 0; i < count_; ++i) {
        const Hold& h = holds_[i];
        if (h.source != k_source_drag || !h.is_wanted() || (h.value & buttons) == 0) continue;
        let_go_at(i, ambient);
        was_on = true;
    }
    return was_on || add(k_source_drag, HoldKind::buttons, 0, buttons, 1);
}

void Output::move(int16_t dx, int16_t dy) {
    add_saturating(is_edge_open_ ? later_x_ : now_x_, dx);
    add_saturating(is_edge_open_ ? later_y_ : now_y_, dy);
    is_awake_ = true;
}

void Output::scroll(int8_t wheel, int8_t pan) {
    add_saturating(wheel_, wheel);
    add_saturating(pan_, pan);
    scroll_modifiers_ = ambient_now();
    is_awake_ = true;
}

void Output::merge_motion() {
    add_saturating(now_x_, later_x_);
    add_saturating(now_y_, later_y_);
    later_x_ = 0;
    later_y_ = 0;
}

void Output::drop_motion() {
    now_x_ = now_y_ = later_x_ = later_y_ = 0;
    wheel_ = pan_ = 0;
    scroll_modifiers_ = 0;
}

void Output::forget_all() {
    count_ = 0;
    sticky_.latched = 0;
    sticky_.locked = 0;
    lock_in_report_ = 0;
    is_edge_open_ = false;
    drop_motion();
    forced_ = static_cast<uint8_t>(forced_ | k_force_keyboard | k_force_pointer);
    if (shown_consumer_ != 0) forced_ = static_cast<uint8_t>(forced_ | k_force_consumer);
    is_awake_ = true;
}

void Output::release_all(uint32_t now_us, Cause cause, const EventSink& sink) {
    const uint8_t dragged = held().dragged;
    forget_all();
    has_clicked_ = false;
    if (dragged != 0) emit(sink, now_us, EventKind::drag_broken, dragged, static_cast<uint8_t>(cause));
    emit(sink, now_us, EventKind::released, static_cast<uint8_t>(cause));
}

HeldState Output::held() const {
    HeldState state = {sticky_.latched, sticky_.locked, 0, 0, 0};
    for (uint8_t i = 0; i < count_; ++i) {
        const Hold& h = holds_[i];
        if (!h.is_wanted()) continue;
        state.press_modifiers = static_cast<uint8_t>(state.press_modifiers | h.modifiers);
        if (h.kind != HoldKind::buttons) continue;
        uint8_t& buttons = h.source == k_source_drag ? state.dragged : state.press_buttons;
        buttons = static_cast<uint8_t>(buttons | h.value);
    }
    return state;
}

bool Output::holds_anything() const {
    uint8_t shown = static_cast<uint8_t>(shown_modifiers_ | shown_buttons_);
    for (uint8_t usage : shown_usages_) shown = static_cast<uint8_t>(shown | usage);
    const bool is_boot = (boot_ & k_taken_pointer) != 0;  // such a host knows no consumer usages
    return count_ != 0 || sticky_.locked != 0 || shown != 0 || (!is_boot && shown_consumer_ != 0);
}

bool Output::is_busy() const {
    for (uint8_t i = 0; i < count_; ++i) {
        if (holds_[i].is_tap()) return true;
    }
    return false;
}

bool Output::has_clicked() const {
    return has_clicked_;
}

}  // namespace engine
}  // namespace fettle
