// What is asked of the station, and its answers: one Told for each.

#include <algorithm>

#include "app/desk/station_inside.hpp"

namespace fettle::app {

namespace {

bool runs(const wire::TrialReply& trial) {
    return trial.phase == wire::TrialPhase::running || trial.phase == wire::TrialPhase::extended;
}

/// The device itself answered, or nobody was asked.
bool is_sign_of_life(Errc code) {
    return code == Errc::busy || code == Errc::unsupported || code == Errc::not_found ||
           code == Errc::unproven || code == Errc::refused;
}

/// Whether the request was carried out nobody knows: its answer may have been lost.
bool is_unknown_outcome(Errc code) {
    return code == Errc::closed || code == Errc::io || code == Errc::timed_out || code == Errc::garbled ||
           code == Errc::cancelled;
}

}  // namespace

Error Station::Inside::no_link() const {
    if (now.found.empty()) return {Errc::not_found, "device", "nothing is attached"};
    if (now.last_error && now.last_error->code == Errc::no_access) return *now.last_error;
    const std::string where = now.attached ? now.attached->path : "device";
    return {Errc::closed, where, now.last_error ? now.last_error->detail : ""};
}

void Station::Inside::note_alive() {
    alive_ms = now_ms();
    if (now.state != LinkState::stale || failed_pings != 0) return;
    now.last_error.reset();
    move(LinkEvent::heard);
}

void Station::Inside::note(const std::optional<Error>& error) {
    if (!error || is_sign_of_life(error->code)) {
        failed_pings = 0;
        return note_alive();
    }
    if (error->code == Errc::closed || error->code == Errc::io) return lose(*error);
    if (error->code != Errc::timed_out || is_stopping.load()) return;
    fail_with(*error);
    move(LinkEvent::silent);
}

/// Those that need no link. In absent, opening and stale.
void Station::Inside::serve_without_link() {
    const unsigned kinds =
        bit(AskKind::connect) | bit(AskKind::hands) | bit(AskKind::cancel) | bit(AskKind::consent);
    while (auto waiting = take_ask(kinds)) {
        carry_out(std::move(*waiting));
        if (now.state == LinkState::closing) return;
    }
}

/// While a request runs: those that do not wait for its end.
void Station::Inside::serve_urgent() {
    if (!has_asks.load(std::memory_order_acquire)) return;
    while (auto waiting = take_ask(bit(AskKind::hands))) work_hands(*waiting);
    if (now.state == LinkState::greeting) {
        is_cancelled = is_cancelled || is_waiting(bit(AskKind::connect));
        return;
    }
    while (auto waiting = take_ask(bit(AskKind::release))) send_release_past(*waiting);
    if (now.work.kind == Work::Kind::none) return;
    is_cancelled = is_cancelled || is_waiting(bit(AskKind::connect));
    while (auto waiting = take_ask(bit(AskKind::cancel))) {
        is_cancelled = true;
        tell(*waiting, std::nullopt);
    }
}

void Station::Inside::send_release_past(const Waiting& waiting) {
    if (auto sent = link->send_release(); !sent) return tell(waiting, sent.error());
    if (releasing.empty()) releasing_since_ms = now_ms();
    releasing.push_back(waiting.ticket);
}

void Station::Inside::carry_out(Waiting waiting) {
    if (kind_of(waiting.what) == AskKind::hands) return work_hands(waiting);
    if (const auto* asked_for = std::get_if<ask::Connect>(&waiting.what)) return connect(waiting, *asked_for);
    if (std::holds_alternative<ask::Disconnect>(waiting.what)) return disconnect(waiting);
    if (std::holds_alternative<ask::Cancel>(waiting.what)) return cancel(waiting);
    if (const auto* agreed = std::get_if<ask::AgreeUsages>(&waiting.what))
        return agree(waiting, agreed->is_agreed);
    is_cancelled = false;
    const InRequest in(is_in_request);
    if (const auto* its = std::get_if<ask::Push>(&waiting.what)) return push(waiting, *its);
    if (const auto* its = std::get_if<ask::ReadImage>(&waiting.what)) return read_image(waiting, *its);
    if (const auto* keep = std::get_if<ask::Keep>(&waiting.what))
        return on_trial(waiting, true, [&](const auto& t) {
            return session->keep(t.id, t.image_crc, keep->helper_overrides);
        });
    if (std::holds_alternative<ask::Revert>(waiting.what))
        return on_trial(waiting, false, [&](const auto& t) { return session->revert(t.id, t.image_crc); });
    if (const auto* extend = std::get_if<ask::Extend>(&waiting.what))
        return on_trial(waiting, false,
                        [&](const auto& t) { return session->extend(t.id, t.image_crc, extend->seconds); });
    if (const auto* mode = std::get_if<ask::SetMode>(&waiting.what))
        return plain(waiting, [&] { return session->set_mode(mode->mode); });
    if (const auto* variant = std::get_if<ask::SetVariant>(&waiting.what))
        return plain(waiting, [&] { return session->set_variant(variant->variant); });
    plain(waiting, [&] { return session->release(); });
}

/// The answer of a request to the device, and what it says of the link.
void Station::Inside::finish(Told told, const Waiting& waiting, std::optional<Error> error) {
    told.ticket = waiting.ticket;
    told.index = waiting.what.index();
    told.error = error;
    tell(std::move(told));
    if (error)
        fail_with(*error);
    else if (now.last_error) {
        now.last_error.reset();
        touch();
    }
    note(error);
}

void Station::Inside::plain(const Waiting& waiting, const std::function<Status()>& call) {
    finish({}, waiting, error_of(call()));
}

void Station::Inside::connect(const Waiting& waiting, const ask::Connect& asked_for) {
    end_connecting(Error{Errc::cancelled, "station", "another device was asked for"});
    const auto& pinned = wanted.pinned;
    const bool is_same =
        is_wanted && pinned &&
        (asked_for.path.empty() || asked_for.path == pinned->path || asked_for.path == pinned->serial);
    if (is_same && now.state == LinkState::live) return tell(waiting, std::nullopt);
    is_wanted = true;
    wanted = {asked_for.path, std::nullopt};
    was_live = false;
    connecting = waiting.ticket;
    next_try_ms = next_look_ms = round_ms;
    if (now.state == LinkState::live || now.state == LinkState::stale) move(LinkEvent::let_go);
}

void Station::Inside::disconnect(const Waiting& waiting) {
    end_connecting(Error{Errc::cancelled, "station", ""});
    is_wanted = was_live = false;
    wanted = {};
    const bool is_open = now.state == LinkState::live || now.state == LinkState::stale;
    if (is_open)
        disconnecting.push_back(waiting.ticket);
    else
        tell(waiting, std::nullopt);
    move(LinkEvent::let_go);
}

/// Nothing long runs now: what waits is cancelled.
void Station::Inside::cancel(const Waiting& waiting) {
    std::deque<Waiting> cancelled;
    {
        const std::lock_guard lock(asks_lock);
        const auto is_long = [](const Waiting& w) {
            return std::holds_alternative<ask::Push>(w.what) ||
                   std::holds_alternative<ask::ReadImage>(w.what);
        };
        std::copy_if(asks.begin(), asks.end(), std::back_inserter(cancelled), is_long);
        std::erase_if(asks, is_long);
        has_asks = !asks.empty();
    }
    for (const Waiting& one : cancelled) tell(one, Error{Errc::cancelled, "station", ""});
    if (cancelled.empty()) return tell(waiting, Error{Errc::not_found, "station", "nothing to cancel"});
    tell(waiting, std::nullopt);
}

void Station::Inside::agree(const Waiting& waiting, bool is_agreed) {
    now.usages_agreed = is_agreed;
    touch();
    if (now.state != LinkState::live) {
        is_subscribe_due = now.state == LinkState::stale;
        return tell(waiting, std::nullopt);
    }
    Status done = Done{};
    {
        const InRequest in(is_in_request);
        done = subscribe();
    }
    is_subscribe_due = !done;
    finish({}, waiting, error_of(done));
}

void Station::Inside::push(const Waiting& waiting, const ask::Push& asked_for) {
    now.work = {Work::Kind::push, 0, asked_for.image.size()};
    touch();
    const auto progress = [this](std::size_t done, std::size_t whole) {
        now.work.done = done;
        now.work.whole = whole;
        touch();
        note_alive();
        return !is_cancelled;
    };
    auto pushed = session->push(asked_for.image, asked_for.trial_s, progress);
    now.work = {};
    touch();
    is_refresh_due = is_trial_due = true;
    Told told;
    if (pushed) {
        take_trial(pushed->trial);
        told.trial = pushed->trial;
    }
    finish(std::move(told), waiting, error_of(pushed));
}

void Station::Inside::read_image(const Waiting& waiting, const ask::ReadImage& asked_for) {
    now.work = {Work::Kind::read_image, 0, 0};
    touch();
    const auto progress = [this](std::size_t done, std::size_t whole) {
        now.work.done = done;
        now.work.whole = whole;
        touch();
        note_alive();
        return !is_cancelled;
    };
    auto image = session->read_image(asked_for.slot, progress);
    now.work = {};
    touch();
    Told told;
    if (image) told.image = std::move(*image);
    finish(std::move(told), waiting, error_of(image));
}

/// Keep, revert, extend name the trial that runs, as the device says it now.
void Station::Inside::on_trial(const Waiting& waiting, bool is_keep, const TrialCall& call) {
    auto trial = session->trial();
    if (!trial) return finish({}, waiting, trial.error());
    take_trial(*trial);
    if (!runs(*trial)) return finish({}, waiting, Error{Errc::not_found, "trial", "none runs"});
    auto done = call(*trial);
    is_refresh_due = true;
    Told told;
    if (done) {
        take_trial(*done);
        told.trial = *done;
        if (is_keep) next_tend_ms = round_ms;
    } else {
        is_trial_due = true;
        told.is_old_profile_safe = !is_keep || !is_unknown_outcome(done.error().code);
    }
    finish(std::move(told), waiting, error_of(done));
}

void Station::Inside::take_trial(const wire::TrialReply& trial) {
    if (trial.phase != now.trial.phase || trial.id != now.trial.id) is_refresh_due = true;
    now.trial = trial;
    now.trial_seen_ms = now_ms();
    next_trial_ms = now.trial_seen_ms + 1000;
    touch();
}

}  // namespace fettle::app
