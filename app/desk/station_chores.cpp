// What the station asks the device by itself, one small request a round, and what it hears.

#include <algorithm>

#include "app/desk/station_inside.hpp"

namespace fettle::app {

using engine::EventKind;

namespace {

constexpr std::int64_t k_ping_ms = 1000;
constexpr std::int64_t k_quiet_ms = 500;  // without a sign of life: a ping before it counts as stale
constexpr std::int64_t k_info_ms = 5000;
constexpr std::int64_t k_display_ms = 334;        // at most three times a second
constexpr std::int64_t k_display_rest_ms = 2000;  // where nothing happened that would change it
constexpr std::int64_t k_deaf_ms = 2500;          // pings answered, no telemetry: somebody else took it

bool runs(const wire::TrialReply& trial) {
    return trial.phase == wire::TrialPhase::running || trial.phase == wire::TrialPhase::extended;
}

/// Nothing of these changes what the display shows.
bool leaves_display(EventKind kind) {
    return kind == EventKind::edge || kind == EventKind::snapshot || kind == EventKind::report ||
           kind == EventKind::taken || kind == EventKind::ir_noise || kind == EventKind::ir_frame;
}

}  // namespace

/// True: something was asked, this round is over.
bool Station::Inside::chore() {
    const InRequest in(is_in_request);
    is_cancelled = false;
    return chore_subscribe() || chore_refresh() || chore_trial() || chore_ping() || chore_info() ||
           chore_display();
}

bool Station::Inside::chore_subscribe() {
    if (!is_subscribe_due && round_ms - telemetry_ms < k_deaf_ms) return false;
    telemetry_ms = round_ms;
    const Status done = subscribe();
    is_subscribe_due = false;
    if (done) known_boots = session->telemetry().boots;
    note(error_of(done));
    return true;
}

/// Asks for telemetry with edges, and with usages if the person agreed. A stream that begins anew begins with
/// a snapshot.
Status Station::Inside::subscribe() {
    return session->subscribe(now.usages_agreed, true, [this](const link::TimedEvent& e) { hear(e); });
}

bool Station::Inside::chore_refresh() {
    if (!is_refresh_due) return false;
    is_refresh_due = false;
    auto hello = session->greet();
    note(error_of(hello));
    if (!hello) return true;
    now.hello = *hello;
    next_info_ms = round_ms;
    touch();
    return true;
}

bool Station::Inside::chore_trial() {
    const bool is_due = is_trial_due || (runs(now.trial) && round_ms >= next_trial_ms);
    if (!is_due) return false;
    is_trial_due = false;
    next_trial_ms = round_ms + k_ping_ms;
    auto trial = session->trial();
    note(error_of(trial));
    if (trial) take_trial(*trial);
    return true;
}

bool Station::Inside::chore_ping() {
    const bool is_quiet =
        round_ms - alive_ms >= k_quiet_ms && next_ping_ms - round_ms <= k_ping_ms - k_quiet_ms;
    if (!is_quiet && round_ms < next_ping_ms) return false;
    ping();
    return true;
}

bool Station::Inside::ping() {
    const InRequest in(is_in_request);
    next_ping_ms = now_ms() + k_ping_ms;
    auto figures = session->ping();
    if (!figures && figures.error().code == Errc::timed_out) ++failed_pings;
    note(error_of(figures));
    if (!figures) return false;
    const double round_trip_ms = static_cast<double>(figures->round_trip_us) / 1000.0;
    round_trips_ms[pings++ % round_trips_ms.size()] =
        std::max(0.0, round_trip_ms - static_cast<double>(figures->inside_us) / 1000.0);
    const auto end =
        round_trips_ms.begin() + static_cast<std::ptrdiff_t>(std::min(pings, round_trips_ms.size()));
    now.health.round_trip_ms = round_trip_ms;
    now.health.latency_ms = *std::min_element(round_trips_ms.begin(), end) / 2;
    const auto clock_now = session->clock().figures();
    now.health.clock_error_us = now.health.drift_ppm = std::nullopt;
    if (clock_now) now.health.clock_error_us = clock_now->error_us;
    if (clock_now && clock_now->is_drift_known) now.health.drift_ppm = clock_now->drift_ppm;
    touch();
    return true;
}

bool Station::Inside::chore_info() {
    if (round_ms < next_info_ms) return false;
    next_info_ms = round_ms + k_info_ms;
    auto info = session->info();
    note(error_of(info));
    if (!info) return true;
    now.info = *info;
    touch();
    return true;
}

/// The rows one after the other, one a round.
bool Station::Inside::chore_display() {
    if (!now.hello || (now.hello->features & wire::k_feature_display) == 0) return false;
    if (display_row < 0) {
        const auto due_ms =
            is_display_stale ? next_display_ms : next_display_ms - k_display_ms + k_display_rest_ms;
        if (round_ms < due_ms && !now.display.empty()) return false;
        is_display_stale = false;
        next_display_ms = round_ms + k_display_ms;
        display_row = 0;
    }
    auto row = session->display_row(static_cast<std::uint8_t>(display_row));
    note(error_of(row));
    if (!row || row->rows == 0) {
        display_row = -1;
        return true;
    }
    now.display.resize(row->rows);
    const auto at = static_cast<std::size_t>(display_row);
    if (at < now.display.size() && now.display[at] != row->text) {
        now.display[at] = std::move(row->text);
        touch();
    }
    display_row = at + 1 < now.display.size() ? display_row + 1 : -1;
    return true;
}

void Station::Inside::hear(const link::TimedEvent& timed) {
    const link::TelemetryCounts& counts = session->telemetry();
    // it started anew, or this is none of its telemetry: it is asked first
    if (counts.boots != known_boots) {
        is_subscribe_due = is_refresh_due = is_trial_due = true;
        return;
    }
    note_alive();
    telemetry_ms = alive_ms;
    Heard one;
    one.at_us = timed.at_us;
    one.event = timed.event;
    one.start = start;
    one.gap_before = take_gap();
    const std::uint64_t refused = heard.lost();
    if (heard.push(one)) {
        counted = counts;
        ring_lost = refused;
    }
    has_news = true;
    count(timed.event);
    now.health.telemetry = counts;
    now.health.ring_lost = heard.lost();
    touch();
}

/// What was lost since the last event that the window will see.
std::uint32_t Station::Inside::take_gap() {
    const link::TelemetryCounts& counts = session->telemetry();
    return counts.batches_lost - counted.batches_lost + counts.garbled - counted.garbled + counts.boots -
           counted.boots + counts.cuts - counted.cuts + static_cast<std::uint32_t>(heard.lost() - ring_lost);
}

void Station::Inside::count(const engine::Event& event) {
    LinkHealth& health = now.health;
    if (event.kind == EventKind::ir_frame) {
        ++health.frames_decoded;
        if ((event.data[0] & 0x80) != 0) ++health.repeats_heard;
    }
    if (event.kind == EventKind::ir_noise) health.noise_edges += event.data[0];
    if (event.kind == EventKind::ir_lost) health.repeats_lost += event.data[1];
    if (event.kind == EventKind::variant) is_refresh_due = true;
    if (event.kind == EventKind::trial)
        is_trial_due = is_trial_due || event.data[0] != static_cast<std::uint8_t>(now.trial.phase) ||
                       engine::get16(event.data + 1) != now.trial.id;
    if (!leaves_display(event.kind) && !is_told_again(event)) is_display_stale = true;
}

/// Every heartbeat tells these anew, changed or not.
bool Station::Inside::is_told_again(const engine::Event& event) {
    std::array<std::uint8_t, engine::k_event_data_bytes>* last = nullptr;
    if (event.kind == EventKind::held) last = &last_held;
    if (event.kind == EventKind::grid) last = &last_grid;
    if (event.kind == EventKind::trial) last = &last_trial;
    if (last == nullptr) return false;
    const bool is_same = std::equal(last->begin(), last->end(), event.data);
    std::copy_n(event.data, last->size(), last->begin());
    return is_same;
}

}  // namespace fettle::app
