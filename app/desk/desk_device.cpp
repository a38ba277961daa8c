// What the device says, every frame: its state, its telemetry, what is down.

#include "app/desk/desk_inside.hpp"

namespace fettle::app {

using engine::Event;
using engine::EventKind;

namespace {

/// So much is drawn from and kept in memory (24 bytes each); then the live roll begins anew.
constexpr std::size_t k_most_live_events = 12'000'000;
/// A space longer than this ends a train (contract of the engine: decoding starts after 5 ms of silence).
constexpr std::int64_t k_train_gap_us = 5000;
/// NEC says "still held" by mark, space, mark: such a train does not take the place of the one with the code.
constexpr std::size_t k_repeat_widths = 3;
constexpr std::size_t k_most_widths = 1024;

std::uint16_t wide(const Event& event, std::size_t at) {
    return static_cast<std::uint16_t>(event.data[at] | event.data[at + 1] << 8);
}

std::int32_t width_of(std::int64_t us) {
    return static_cast<std::int32_t>(std::min<std::int64_t>(us, 1'000'000));
}

bool is_connected(const DeviceNow& now) {
    return now.state == LinkState::live || now.state == LinkState::stale;
}

}  // namespace

void DeskKeeper::Inside::fetch_device() {
    const LinkState state = desk.device.state;
    const bool was_connected = is_connected(desk.device);
    const auto hello = desk.device.hello;
    const wire::TrialReply trial = desk.device.trial;
    if (!station.fetch(desk.device)) return;
    const DeviceNow& now = desk.device;
    if (was_connected && !is_connected(now)) device_is_gone(trial);
    if (now.hello && is_connected(now)) {
        const bool is_another = !hello || !was_connected || hello->image_crc != now.hello->image_crc;
        if (!hello || profile::limits_of(*hello) != profile::limits_of(*now.hello)) compile_again();
        if (is_another) identify();
        if (!was_connected) {
            hangs_up = false;
            note_run(store::RunKind::seen, now.hello->image_crc);
            tell_back();
        }
    }
    hear();  // up to this record's moment: its seconds are counted from there
    if (is_connected(now)) trial_changed(trial, now.trial, was_connected);
    if (state != now.state && now.state == LinkState::absent) running.reset();
}

void DeskKeeper::Inside::device_is_gone(const wire::TrialReply& trial) {
    const bool was_asked = hangs_up;
    if (!was_asked) note_cut(trial);
    desk.trying.is_running = false;
    desk.trying.is_asked = false;
    desk.trying.seconds_left = 0;
    forget_levels();
    running.reset();
    if (was_asked) return;
    if (desk.device.hello) note_run(store::RunKind::lost, desk.device.hello->image_crc);
    tell_gone();
}

void DeskKeeper::Inside::forget_levels() {
    desk.down.assign(engine::k_max_inputs, false);
    desk.pressed_us.assign(engine::k_max_inputs, -1);
    desk.held = {};
    train.clear();
    mark_is_open = false;
    last_edge_us = -1;
}

void DeskKeeper::Inside::hear() {
    while (const auto heard = station.hear()) {
        if (!heard_any || heard->start != session) begin_session(heard->start, heard->at_us);
        last_heard_ms = now_ms();
        if (heard->gap_before > 0) {
            desk.roll.append_gap(heard->gap_before);
            if (recorded) recorded->append_gap(heard->gap_before);
        }
        take_event(heard->at_us + offset_us, heard->event);
    }
}

void DeskKeeper::Inside::begin_session(std::uint16_t start, std::int64_t first_us) {
    session = start;
    forget_levels();
    desk.teaching.teacher = Teacher{};
    taught_presses = 0;
    if (!heard_any) {
        heard_any = true;
        trace::RollInfo info;
        if (desk.device.hello) {
            info.image_crc = desk.device.hello->image_crc;
            info.engine_build = desk.device.hello->engine_build;
        }
        info.has_usages = desk.device.usages_agreed;
        desk.roll.clear(info);
        offset_us = 0;
        return;
    }
    // Its own clock began anew: what comes lies as much later as has passed here, at least 1 ms.
    const std::int64_t passed_us = std::max<std::int64_t>(now_ms() - last_heard_ms, 1) * 1000;
    offset_us = desk.device_us + passed_us - first_us;
    desk.roll.append_gap(0);
    if (recorded) recorded->append_gap(0);
}

void DeskKeeper::Inside::take_event(std::int64_t at_us, const Event& event) {
    if (desk.roll.size() >= k_most_live_events) desk.roll.clear(desk.roll.info());
    desk.device_us = std::max(desk.device_us, at_us);
    desk.roll.append(at_us, event);
    if (recorded && recorded->append(at_us, event)) ++desk.recording.events;
    switch (event.kind) {
        case EventKind::level:
            if (event.data[0] >= desk.down.size()) break;
            if (event.data[1] != 0 && !desk.down[event.data[0]]) desk.pressed_us[event.data[0]] = at_us;
            desk.down[event.data[0]] = event.data[1] != 0;
            break;
        case EventKind::snapshot: take_snapshot(at_us, event); break;
        case EventKind::mode: desk.mode = event.data[0]; break;
        case EventKind::variant: desk.variant = event.data[0]; break;
        case EventKind::held: std::copy_n(event.data, desk.held.size(), desk.held.begin()); break;
        case EventKind::edge: take_edge(at_us, event); break;
        case EventKind::ir_frame: note_room_code(event); break;
        case EventKind::trial: anchor_trial(wide(event, 3)); break;
        case EventKind::released: {
            const auto cause = static_cast<engine::Cause>(event.data[0]);
            const bool is_meant = cause == engine::Cause::press || cause == engine::Cause::host;
            if (is_meant && desk.device.hello)
                note_run(store::RunKind::released, desk.device.hello->image_crc);
            break;
        }
        default: break;
    }
    teach_event(at_us, event);
}

void DeskKeeper::Inside::take_snapshot(std::int64_t at_us, const Event& event) {
    desk.mode = event.data[0];
    desk.variant = event.data[1];
    for (std::size_t i = 0; i < desk.down.size(); ++i) {
        const bool is_down = (event.data[6 + i / 8] >> (i % 8) & 1) != 0;
        if (is_down && !desk.down[i]) desk.pressed_us[i] = at_us;
        desk.down[i] = is_down;
    }
}

/// Marks stand at even places, spaces at odd ones; an edge that does not fit (one was lost) ends the train.
void DeskKeeper::Inside::take_edge(std::int64_t at_us, const Event& event) {
    if (event.data[0] != 0) return;
    const bool is_mark = event.data[1] != 0;
    const std::int64_t passed_us = last_edge_us < 0 ? 0 : at_us - last_edge_us;
    last_edge_us = at_us;
    const bool goes_on = mark_is_open || !train.empty();
    if (is_mark) {
        const bool is_next = goes_on && !mark_is_open && passed_us <= k_train_gap_us;
        if (is_next && train.size() < k_most_widths)
            train.push_back(width_of(passed_us));
        else
            train.clear();
        mark_is_open = true;
        return;
    }
    if (mark_is_open)
        train.push_back(width_of(passed_us));
    else
        train.clear();
    mark_is_open = false;
    if (train.size() > k_repeat_widths) desk.teaching.pulses = train;
}

}  // namespace fettle::app
