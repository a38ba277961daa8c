// One round of the station in each state of its link (station_state.hpp).

#include <algorithm>

#include "app/desk/station_inside.hpp"

namespace fettle::app {

namespace {

constexpr std::uint32_t k_listen_ms = 8;
constexpr std::int64_t k_silent_ms = 900;    // below the second within which the window must say it
constexpr std::int64_t k_give_up_ms = 3000;  // of silence: a request ends, a stale link is closed
constexpr std::int64_t k_retry_ms = 1000;
constexpr std::int64_t k_settle_ms = 700;  // a node appears before udev gives the rights to it
constexpr std::int64_t k_look_closed_ms = 100;
constexpr std::int64_t k_look_open_ms = 1000;
constexpr std::int64_t k_tend_ms = 1000;
constexpr std::int64_t k_release_ms = 500;
constexpr std::uint64_t k_let_go_ms = 200;  // for unsubscribing before a link is closed

// Shorter than a session's own: the window wants to know. The storage of 1 KB is written in 3.5 s at most.
constexpr link::Limits k_limits{300, 2000, 3, 4000};

constexpr std::size_t k_connect_index = 0, k_disconnect_index = 1, k_release_index = 6;
static_assert(std::is_same_v<std::variant_alternative_t<k_connect_index, Ask>, ask::Connect>);
static_assert(std::is_same_v<std::variant_alternative_t<k_disconnect_index, Ask>, ask::Disconnect>);
static_assert(std::is_same_v<std::variant_alternative_t<k_release_index, Ask>, ask::Release>);

}  // namespace

void Station::Inside::step() {
    round_ms = now_ms();
    beat_ms.store(round_ms, std::memory_order_relaxed);
    switch (now.state) {
        case LinkState::absent: round_absent(); break;
        case LinkState::opening: round_opening(); break;
        case LinkState::greeting: round_greeting(); break;
        case LinkState::live:
        case LinkState::stale: round_open(); break;
        case LinkState::closing: round_closing(); break;
    }
    tend();
    note_computer();
    publish();
}

void Station::Inside::move(LinkEvent event) {
    const auto next = next_state(now.state, event);
    if (!next) {  // a bug of ours: let the device go and begin anew
        fail_with({Errc::mismatch, "station", "an event that cannot be in this state"});
        now.state = LinkState::closing;
        return;
    }
    if (*next != now.state) touch();
    now.state = *next;
}

void Station::Inside::fail_with(const Error& error) {
    if (now.last_error == error) return;
    now.last_error = error;
    touch();
}

/// While a call of the session waits: the beat goes on, silence is seen, what does not wait is served.
Status Station::Inside::pulse() {
    beat_ms.store(now_ms(), std::memory_order_relaxed);
    if (is_letting_go) {
        if (link->now_ms() >= let_go_until_ms) return fail(Errc::timed_out, "station", "closing");
        return Done{};
    }
    if (is_stopping.load()) return fail(Errc::cancelled, "station", "stopping");
    note_silence();
    if (is_in_request) {
        serve_urgent();
        const bool is_long = now.work.kind != Work::Kind::none || now.state == LinkState::greeting;
        if (is_cancelled && is_long) return fail(Errc::cancelled, "station");
        if (now_ms() - alive_ms > k_give_up_ms) return fail(Errc::timed_out, "station", "silence");
    }
    publish();
    return Done{};
}

void Station::Inside::note_silence() {
    if (now.state == LinkState::live && now_ms() - alive_ms > k_silent_ms) move(LinkEvent::silent);
}

void Station::Inside::look() {
    const bool is_closed = now.state == LinkState::absent || now.state == LinkState::opening;
    if (round_ms < next_look_ms) return;
    next_look_ms = round_ms + (is_closed ? k_look_closed_ms : k_look_open_ms);
    const auto chosen_before = choose().open;
    auto found = source.found();
    auto strangers = source.strangers();
    if (found == now.found && strangers == now.strangers) return;
    now.found = std::move(found);
    now.strangers = std::move(strangers);
    if (session) note_twins(wanted, now.found);
    touch();
    const auto chosen = choose().open;
    if (is_closed && chosen && chosen != chosen_before) next_try_ms = round_ms;  // it is back: at once
}

/// What is to be opened, of what was found.
Choice Station::Inside::choose() const {
    return is_wanted ? app::choose(now.found, wanted) : Choice{};
}

/// Says, once udev had its time, that what is wanted cannot be opened. False: it is not that.
bool Station::Inside::note_barred(const std::optional<link::Attached>& barred) {
    if (!barred) {
        if (barred_since_ms && now.last_error && now.last_error->code == Errc::no_access) {
            now.last_error.reset();
            touch();
        }
        barred_since_ms.reset();
        return false;
    }
    if (!barred_since_ms) barred_since_ms = round_ms;
    if (round_ms - *barred_since_ms < k_settle_ms) return true;
    fail_with({Errc::no_access, barred->path, ""});
    end_connecting(now.last_error);
    return true;
}

void Station::Inside::round_absent() {
    serve_without_link();
    look();
    const Choice choice = choose();
    move(choice.open ? LinkEvent::found : LinkEvent::missing);
    const bool is_barred = note_barred(choice.barred);
    if (now.state == LinkState::opening) return;
    if (is_wanted && connecting && !is_barred && source.has_looked()) {
        const std::string& which = wanted.which;
        fail_with({Errc::not_found, which.empty() ? "device" : which, "nothing is attached"});
        end_connecting(now.last_error);
    }
    refuse_waiting(no_link());
    source.idle(k_listen_ms);
}

void Station::Inside::round_opening() {
    serve_without_link();
    if (now.state != LinkState::opening) return;
    look();
    const auto chosen = choose().open;
    if (!chosen) return move(LinkEvent::missing);
    if (round_ms >= next_try_ms) return open_link(*chosen);
    refuse_waiting(no_link());
    source.idle(k_listen_ms);
}

void Station::Inside::open_link(const link::Attached& chosen) {
    next_try_ms = round_ms + k_retry_ms;
    now.attached = chosen;
    touch();
    auto opened = source.open(chosen);
    if (!opened) {
        move(LinkEvent::refused);
        fail_with(opened.error());
        end_connecting(opened.error());
        return refuse_waiting(no_link());
    }
    fresh_link = std::make_unique<StationLink>(std::move(*opened), hooks());
    link = fresh_link.get();
    alive_ms = now_ms();
    move(LinkEvent::opened);
}

StationLink::Hooks Station::Inside::hooks() {
    StationLink::Hooks hooks;
    hooks.pulse = [this] { return pulse(); };
    hooks.released = [this] {
        for (const auto ticket : releasing) tell_ticket(ticket, k_release_index, std::nullopt);
        releasing.clear();
    };
    hooks.may_change_over = [this] { return !is_letting_go && !is_stopping.load(); };
    hooks.fresh = [this] { note_fresh(); };
    return hooks;
}

/// The channel is another one, or was only slow: silence is counted from now on.
void Station::Inside::note_fresh() {
    alive_ms = now_ms();
    now.health.channel = link->channel();
    now.health.changeovers = link->changeovers();
    touch();
}

void Station::Inside::round_greeting() {
    is_cancelled = false;
    Status greeted = Done{};
    {
        const InRequest in(is_in_request);
        greeted = greet();
    }
    if (!greeted) {
        const Errc code = greeted.error().code;
        if (code == Errc::foreign || code == Errc::not_found) next_try_ms = now_ms() + k_retry_ms;
        return lose(greeted.error());
    }
    begin_session();
}

Status Station::Inside::greet() {
    auto opened = link::Session::open(std::move(fresh_link), k_limits);
    if (!opened) {
        link = nullptr;
        return opened.failure();
    }
    session = std::move(*opened);
    if (was_live && session->serial() != pinned_number)
        return fail(Errc::not_found, pinned_number, "another device is there: " + session->serial());
    now.hello = session->hello();
    auto info = session->info();
    if (!info) return info.failure();
    now.info = *info;
    auto trial = session->trial();
    if (!trial) return trial.failure();
    LinkHealth anew;
    anew.reconnects = now.health.reconnects;
    anew.ring_lost = now.health.ring_lost;
    anew.channel = link->channel();
    anew.changeovers = link->changeovers();
    now.health = anew;
    counted = {};
    known_boots = 0;
    ++start;
    now.trial = *trial;
    now.trial_seen_ms = now_ms();
    return subscribe();
}

void Station::Inside::begin_session() {
    const auto ms = now_ms();
    note_alive();
    telemetry_ms = ms;
    failed_pings = 0;
    pings = 0;
    next_ping_ms = next_display_ms = ms;
    next_trial_ms = ms + 1000;
    next_info_ms = ms + 5000;
    display_row = -1;
    is_refresh_due = is_trial_due = is_subscribe_due = false;
    now.display.clear();
    now.is_simulated = now.attached->channel == link::ChannelKind::simulated;
    if (was_live) ++now.health.reconnects;
    was_live = true;
    wanted.pinned = now.attached;
    pinned_number = session->serial();
    note_twins(wanted, now.found);
    barred_since_ms.reset();
    now.last_error.reset();
    touch();
    move(LinkEvent::greeted);
    end_connecting(std::nullopt);
}

void Station::Inside::round_open() {
    look();
    expire_releases();
    if (now.state == LinkState::stale) {
        if (is_waiting(bit(AskKind::connect) | bit(AskKind::hands) | bit(AskKind::cancel)))
            serve_without_link();
        else if (!ping() && now.state == LinkState::stale && failed_pings >= pings_to_close())
            lose({Errc::timed_out, now.attached->path, "silent though asked"});
        return;
    }
    if (auto waiting = take_ask(~0u)) return carry_out(std::move(*waiting));
    if (chore()) return;
    const Status listened = session->listen(k_listen_ms);
    if (!listened) note(listened.error());
    note_silence();
}

int Station::Inside::pings_to_close() const {
    return now_ms() - alive_ms > k_give_up_ms ? 1 : 2;
}

void Station::Inside::expire_releases() {
    if (releasing.empty() || now_ms() - releasing_since_ms < k_release_ms) return;
    for (const auto ticket : releasing)
        tell_ticket(ticket, k_release_index, Error{Errc::timed_out, "release", ""});
    releasing.clear();
    if (link != nullptr) link->forget_release();
}

/// The link is of no use any more; `error` says why.
void Station::Inside::lose(const Error& error) {
    if (error.code == Errc::cancelled && is_stopping.load()) return;  // shut_down() follows
    if (error.code != Errc::cancelled) fail_with(error);
    end_connecting(error);
    refuse_waiting(no_link());
    move(LinkEvent::gone);
}

void Station::Inside::round_closing() {
    close();
    round_absent();
}

/// Lets go of what is open. A link that answers is told first.
void Station::Inside::close() {
    if (session && failed_pings == 0 && link != nullptr && !link->is_blocked()) {
        is_letting_go = true;
        let_go_until_ms = link->now_ms() + k_let_go_ms;
        static_cast<void>(session->unsubscribe());  // either way it is closed now
        is_letting_go = false;
    }
    session.reset();
    fresh_link.reset();
    link = nullptr;
    for (const auto ticket : releasing) tell_ticket(ticket, k_release_index, no_link());
    releasing.clear();
    for (const auto ticket : disconnecting) tell_ticket(ticket, k_disconnect_index, std::nullopt);
    disconnecting.clear();
    now.work = {};
    now.trial = {};
    touch();
    move(LinkEvent::closed);
    next_look_ms = next_tend_ms = round_ms;
}

void Station::Inside::refuse_waiting(const Error& error) {
    while (auto waiting = take_ask(bit(AskKind::link) | bit(AskKind::release))) tell(*waiting, error);
}

void Station::Inside::end_connecting(std::optional<Error> error) {
    if (connecting) tell_ticket(*connecting, k_connect_index, std::move(error));
    connecting.reset();
}

void Station::Inside::tend() {
    if (round_ms < next_tend_ms) return;
    next_tend_ms = round_ms + k_tend_ms;
    auto trouble = source.tend();
    if (!trouble) return;
    now.source_trouble = std::move(trouble);
    touch();
}

/// The end: everything open is closed, everything that waits is answered.
void Station::Inside::shut_down() {
    is_wanted = false;
    round_ms = now_ms();
    const Error stopped{Errc::closed, "station", "stopped"};
    end_connecting(stopped);
    while (auto waiting = take_ask(~0u)) tell(*waiting, stopped);
    if (now.state != LinkState::absent) {
        if (now.state != LinkState::closing) move(LinkEvent::let_go);
        if (now.state == LinkState::closing) close();
    }
    while (auto waiting = take_ask(~0u)) tell(*waiting, stopped);
    next_tend_ms = round_ms;
    tend();
    publish();
}

}  // namespace fettle::app
