// One millisecond: what the host read, commands, time, then the reports.
#include "core/engine/output.hpp"

namespace fettle {
namespace engine {

void Output::tick(const TickInputs& in, TickOutputs& out, const EventSink& sink) {
    out.reports[0].size = 0;
    out.reports[1].size = 0;
    if (edge_age_ms_ != 0xFFFF) ++edge_age_ms_;
    if (!is_awake_ && in.taken == 0 && in.commands == 0 && in.boot_protocol == boot_) return;
    work(in, out, sink);
}

void Output::work(const TickInputs& in, TickOutputs& out, const EventSink& sink) {
    is_frame_due_ = false;
    boot_ = in.boot_protocol;
    note_taken(in, sink);
    if (obey(in, sink)) {
        count_waiting(in.now_us, sink);
        if ((boot_ & k_taken_pointer) != 0) drop_consumer();
        arm_next();
        build_keyboard(out);
        build_pointer(out);
    }
    tell(in.now_us, out, sink);
    is_awake_ = has_work();
}

/// False while no report may be handed over.
bool Output::obey(const TickInputs& in, const EventSink& sink) {
    if ((in.commands & k_command_cable_lost) != 0) {
        release_all(in.now_us, Cause::cable, sink);
        forget_host();
    }
    if ((in.commands & k_command_release_all) != 0) release_all(in.now_us, Cause::host, sink);
    const bool was_suspended = is_suspended_;
    is_suspended_ = (in.commands & k_command_suspended) != 0;
    if (!is_suspended_) return true;
    if (was_suspended) {
        forget_all();
    } else {
        release_all(in.now_us, Cause::suspend, sink);
    }
    return false;
}

/// After a bus reset nothing is in flight, and a host that enumerates knows of nothing that is down.
void Output::forget_host() {
    in_flight_ = 0;
    waited_ms_[0] = 0;
    waited_ms_[1] = 0;
    shown_modifiers_ = 0;
    taken_modifiers_ = 0;
    memset(shown_usages_, 0, sizeof(shown_usages_));
    shown_buttons_ = 0;
    shown_consumer_ = 0;
    is_order_at_stake_ = false;
    forced_ = k_force_all;
}

void Output::note_taken(const TickInputs& in, const EventSink& sink) {
    const uint8_t taken = static_cast<uint8_t>(in.taken & in_flight_);
    in_flight_ = static_cast<uint8_t>(in_flight_ & ~taken);
    if ((taken & k_taken_keyboard) != 0) {
        waited_ms_[0] = 0;
        is_frame_due_ = taken_modifiers_ != shown_modifiers_;
        taken_modifiers_ = shown_modifiers_;
        complete(HoldKind::keys);
        emit(sink, in.now_us, EventKind::taken, static_cast<uint8_t>(Endpoint::keyboard));
    }
    if ((taken & k_taken_pointer) != 0) {
        waited_ms_[1] = 0;
        is_order_at_stake_ = false;
        complete(is_consumer_in_flight_ ? HoldKind::consumer : HoldKind::buttons);
        emit(sink, in.now_us, EventKind::taken, static_cast<uint8_t>(Endpoint::pointer));
    }
}

void Output::count_waiting(uint32_t now_us, const EventSink& sink) {
    for (uint8_t i = 0; i < 2; ++i) {
        if ((in_flight_ & (1u << i)) == 0) continue;
        if (waited_ms_[i] != 0xFFFF) ++waited_ms_[i];
        if (waited_ms_[i] == k_unread_ms) emit(sink, now_us, EventKind::unread, i);
    }
    if (waited_ms_[1] >= k_unread_ms) drop_motion();
}

/// The host knows the last report of this kind: its presses are down, its releases are over.
void Output::complete(HoldKind kind) {
    bool is_edge = false;
    bool is_any_gone = false;
    for (uint8_t i = 0; i < count_; ++i) {
        Hold& h = holds_[i];
        if (h.kind != kind || (h.state != HoldState::pressing && h.state != HoldState::releasing)) continue;
        const bool is_release = h.state == HoldState::releasing;
        advance(h, HoldStep::taken);
        is_any_gone = is_any_gone || h.state == HoldState::gone;
        if (kind != HoldKind::buttons) continue;
        is_edge = true;
        is_edge_of_click_ = h.is_tap();
        has_clicked_ = has_clicked_ || is_release;
    }
    if (is_any_gone) remove_gone();
    if (!is_edge) return;
    edge_age_ms_ = 0;
    merge_motion();  // during a click it still waits for is_clicking() to end
    is_edge_open_ = has_open_edge();
}

void Output::remove_gone() {
    uint8_t kept = 0;
    for (uint8_t i = 0; i < count_; ++i) {
        if (holds_[i].state == HoldState::gone) continue;
        if (kept != i) holds_[kept] = holds_[i];
        ++kept;
    }
    count_ = kept;
}

void Output::apply(const Plan& plan) {
    if (plan.releases == 0 && plan.press == k_nothing) return;
    for (uint8_t i = 0; i < count_; ++i) {
        Hold& h = holds_[i];
        const bool is_released = ((plan.releases >> i) & 1u) != 0;
        if (!is_released && i != plan.press) continue;
        if (h.state == HoldState::waiting) advance(h, HoldStep::turn);  // keys need no turn of their own
        advance(h, HoldStep::built);
    }
}

void Output::advance(Hold& hold, HoldStep what) {
    if (!step(hold, what)) is_broken_ = true;
}

Report& Output::hand_over(Endpoint endpoint, uint8_t size, TickOutputs& out) {
    const uint8_t i = static_cast<uint8_t>(endpoint);
    in_flight_ = static_cast<uint8_t>(in_flight_ | (1u << i));
    waited_ms_[i] = 0;
    out.reports[i].size = size;
    return out.reports[i];
}

void Output::tell(uint32_t now_us, const TickOutputs& out, const EventSink& sink) {
    for (uint8_t i = 0; i < 2; ++i) {
        const Report& report = out.reports[i];
        if (report.size == 0) continue;
        uint8_t data[2 + sizeof report.bytes] = {i, report.size};
        memcpy(data + 2, report.bytes, report.size);
        emit_bytes(sink, now_us, EventKind::report, data, sizeof data);
    }
    const HeldState now = held();
    if (memcmp(&now, &told_, sizeof(now)) != 0) {
        told_ = now;
        tell_held(now_us, sink);
    }
    if (is_broken_) emit(sink, now_us, EventKind::fault, static_cast<uint8_t>(Fault::impossible_state));
    is_broken_ = false;
}

/// HeldState in the order of EventKind::held.
void Output::tell_held(uint32_t now_us, const EventSink& sink) const {
    static_assert(sizeof(HeldState) == 5, "one byte each");
    const HeldState now = held();
    emit_bytes(sink, now_us, EventKind::held, reinterpret_cast<const uint8_t*>(&now), sizeof now);
}

/// A consumer report waits until the host is out of boot protocol.
uint8_t Output::due_forced() const {
    const bool is_boot = (boot_ & k_taken_pointer) != 0;
    return is_boot ? static_cast<uint8_t>(forced_ & ~k_force_consumer) : forced_;
}

bool Output::has_work() const {
    if (in_flight_ != 0 || due_forced() != 0 || (now_x_ | now_y_ | later_x_ | later_y_ | wheel_ | pan_) != 0)
        return true;
    if (lock_in_report_ != sticky_.locked || is_suspended_) return true;
    for (uint8_t i = 0; i < count_; ++i) {
        if (!holds_[i].is_resting()) return true;
    }
    const Plan nothing = {0, k_nothing};
    return wanted_modifiers(nothing) != shown_modifiers_;
}

}  // namespace engine
}  // namespace fettle
