// The pointer endpoint: mouse reports (buttons, motion, detents) and consumer reports take turns.
#include "core/engine/output.hpp"

namespace fettle {
namespace engine {
namespace {

/// Takes from `rest` what fits into `limit`.
FETTLE_SHARED int16_t take(int16_t& rest, int16_t limit) {
    int16_t part = rest;
    if (part > limit) part = limit;
    if (part < -limit) part = static_cast<int16_t>(-limit);
    rest = static_cast<int16_t>(rest - part);
    return part;
}

uint8_t as_byte(int16_t value) {
    return static_cast<uint8_t>(static_cast<uint16_t>(value) & 0xFFu);
}

}  // namespace

/// Gives the next button or consumer usage its turn: its modifiers go into the keyboard report.
void Output::arm_next() {
    for (uint8_t i = 0; i < count_; ++i) {
        Hold& h = holds_[i];
        if (h.is_key() || h.state != HoldState::waiting) continue;
        if (!is_blocked(i) && !waits_for_click_gap(h)) advance(h, HoldStep::turn);
        return;
    }
}

Output::Plan Output::plan_pointer(HoldKind kind) const {
    Plan plan = {0, k_nothing};
    const Plan nothing = {0, k_nothing};
    bool is_due = false;
    for (uint8_t i = 0; i < count_; ++i) {
        const Hold& h = holds_[i];
        if (h.kind != kind) continue;
        if (h.state == HoldState::down && !h.is_wanted()) {
            if (h.is_tap() ? waits_for_click_gap(h) : waits_for_others(i)) continue;
            plan.releases = static_cast<uint16_t>(plan.releases | (uint16_t(1) << i));
            is_due = true;
        } else if ((h.state == HoldState::armed || h.state == HoldState::between) &&
                   !waits_for_click_gap(h)) {
            plan.press = i;
            is_due = true;
        }
    }
    return is_due && !is_settled(wanted_modifiers(plan_key_releases())) ? nothing : plan;
}

void Output::put_mouse(uint8_t buttons, bool with_motion, bool with_wheel, TickOutputs& out) {
    const bool is_boot = (boot_ & k_taken_pointer) != 0;
    const int16_t limit = is_boot ? 127 : 32767;
    const int16_t x = with_motion ? take(now_x_, limit) : static_cast<int16_t>(0);
    const int16_t y = with_motion ? take(now_y_, limit) : static_cast<int16_t>(0);
    Report& report =
        hand_over(Endpoint::pointer, is_boot ? k_boot_mouse_report_bytes : k_pointer_report_bytes, out);
    shown_buttons_ = buttons;
    is_consumer_in_flight_ = false;
    was_consumer_last_ = false;
    if (is_boot) {
        report.bytes[0] = buttons;
        report.bytes[1] = as_byte(x);
        report.bytes[2] = as_byte(y);
        return;
    }
    report.bytes[0] = k_pointer_report_id;
    report.bytes[1] = buttons;
    put16(report.bytes + 2, static_cast<uint16_t>(x));
    put16(report.bytes + 4, static_cast<uint16_t>(y));
    report.bytes[6] = with_wheel ? as_byte(take(wheel_, 127)) : static_cast<uint8_t>(0);
    report.bytes[7] = with_wheel ? as_byte(take(pan_, 127)) : static_cast<uint8_t>(0);
}

/// Motion first, then edges: never both in one report, so that no host has to guess their order.
void Output::build_mouse(const Plan& plan, bool with_wheel, TickOutputs& out) {
    apply(plan);
    uint16_t buttons = 0;
    for (uint8_t i = 0; i < count_; ++i) {
        const Hold& h = holds_[i];
        if (h.kind == HoldKind::buttons && h.is_shown()) buttons = static_cast<uint16_t>(buttons | h.value);
    }
    const bool has_edges = plan.releases != 0 || plan.press != k_nothing;
    if (has_edges && buttons == shown_buttons_) {
        complete(HoldKind::buttons);  // another hold keeps the button down: nothing to see
        return;
    }
    is_order_at_stake_ = has_edges || with_wheel;
    put_mouse(static_cast<uint8_t>(buttons), !has_edges, with_wheel, out);
}

void Output::put_consumer(uint16_t usage, TickOutputs& out) {
    Report& report = hand_over(Endpoint::pointer, k_consumer_report_bytes, out);
    report.bytes[0] = k_consumer_report_id;
    put16(report.bytes + 1, usage);
    shown_consumer_ = usage;
    is_consumer_in_flight_ = true;
    was_consumer_last_ = true;
    is_order_at_stake_ = true;
}

void Output::build_consumer(const Plan& plan, TickOutputs& out) {
    apply(plan);
    const uint16_t usage = plan.press != k_nothing ? holds_[plan.press].value : static_cast<uint16_t>(0);
    if (usage == shown_consumer_) {
        complete(HoldKind::consumer);
        return;
    }
    put_consumer(usage, out);
}

/// Boot protocol has no place for consumer usages and detents. A usage that is down goes up when the host is
/// back in report protocol.
void Output::drop_consumer() {
    for (uint8_t i = 0; i < count_; ++i) {
        if (holds_[i].kind == HoldKind::consumer) holds_[i].state = HoldState::gone;
    }
    remove_gone();
    wheel_ = 0;
    pan_ = 0;
    if (shown_consumer_ != 0) forced_ = static_cast<uint8_t>(forced_ | k_force_consumer);
}

void Output::build_pointer(TickOutputs& out) {
    if ((in_flight_ & k_taken_pointer) != 0) return;
    if ((forced_ & k_force_pointer) != 0) {
        forced_ = static_cast<uint8_t>(forced_ & ~k_force_pointer);
        is_order_at_stake_ = false;
        put_mouse(0, false, false, out);
        return;
    }
    if ((due_forced() & k_force_consumer) != 0) {
        forced_ = static_cast<uint8_t>(forced_ & ~k_force_consumer);
        put_consumer(0, out);
        return;
    }
    const Plan nothing = {0, k_nothing};
    const bool may_move = !is_clicking();
    const bool has_counts = may_move && (now_x_ | now_y_) != 0;
    const bool with_wheel = may_move && (wheel_ | pan_) != 0 && is_settled(scroll_modifiers_);
    const Plan edges = has_counts || with_wheel ? nothing : plan_pointer(HoldKind::buttons);
    const Plan consumer = plan_pointer(HoldKind::consumer);
    const bool has_mouse = has_counts || with_wheel || edges.releases != 0 || edges.press != k_nothing;
    const bool has_consumer = consumer.releases != 0 || consumer.press != k_nothing;
    if (has_consumer && (!has_mouse || !was_consumer_last_)) {
        build_consumer(consumer, out);
    } else if (has_mouse) {
        build_mouse(edges, with_wheel, out);
    }
}

}  // namespace engine
}  // namespace fettle
