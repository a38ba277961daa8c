// Where the window's thread and the I/O thread meet: asks, tells, the record, the beat, starting and
// stopping.

#include "app/desk/station.hpp"

#include <algorithm>
#include <chrono>

#include "app/desk/station_inside.hpp"

namespace fettle::app {

namespace {

constexpr std::size_t k_asks_most = 64;
constexpr auto k_idle_wait = std::chrono::milliseconds(8);

}  // namespace

AskKind kind_of(const Ask& ask) {
    return std::visit(
        [](const auto& what) {
            using What = std::decay_t<decltype(what)>;
            if constexpr (std::is_same_v<What, ask::Connect> || std::is_same_v<What, ask::Disconnect>)
                return AskKind::connect;
            else if constexpr (std::is_same_v<What, ask::Release>)
                return AskKind::release;
            else if constexpr (std::is_same_v<What, ask::Cancel>)
                return AskKind::cancel;
            else if constexpr (std::is_same_v<What, ask::AgreeUsages>)
                return AskKind::consent;
            else if constexpr (std::is_same_v<What, ask::Hand> || std::is_same_v<What, ask::Axis> ||
                               std::is_same_v<What, ask::Cable> || std::is_same_v<What, ask::PowerCut>)
                return AskKind::hands;
            else
                return AskKind::link;
        },
        ask);
}

// --- the I/O thread's side ---

/// The first that waits of these kinds; Release before all.
std::optional<Waiting> Station::Inside::take_ask(unsigned kinds) {
    if (!has_asks.load(std::memory_order_acquire)) return std::nullopt;
    const std::lock_guard lock(asks_lock);
    const auto of_kind = [&](const Waiting& w) { return (bit(kind_of(w.what)) & kinds) != 0; };
    auto at = std::find_if(asks.begin(), asks.end(), [&](const Waiting& w) {
        return of_kind(w) && kind_of(w.what) == AskKind::release;
    });
    if (at == asks.end()) at = std::find_if(asks.begin(), asks.end(), of_kind);
    if (at == asks.end()) return std::nullopt;
    Waiting taken = std::move(*at);
    asks.erase(at);
    has_asks.store(!asks.empty(), std::memory_order_release);
    return taken;
}

bool Station::Inside::is_waiting(unsigned kinds) {
    if (!has_asks.load(std::memory_order_acquire)) return false;
    const std::lock_guard lock(asks_lock);
    return std::any_of(asks.begin(), asks.end(),
                       [&](const Waiting& w) { return (bit(kind_of(w.what)) & kinds) != 0; });
}

void Station::Inside::tell(Told told) {
    {
        const std::lock_guard lock(tolds_lock);
        tolds.push_back(std::move(told));
    }
    has_news = true;
}

void Station::Inside::tell_ticket(std::uint32_t ticket, std::size_t index, std::optional<Error> error) {
    Told told;
    told.ticket = ticket;
    told.index = index;
    told.error = std::move(error);
    tell(std::move(told));
}

void Station::Inside::tell(const Waiting& waiting, std::optional<Error> error) {
    tell_ticket(waiting.ticket, waiting.what.index(), std::move(error));
}

/// Hands the record over if it changed, and wakes the window if there is anything to fetch.
void Station::Inside::publish() {
    if (is_touched) {
        is_touched = false;
        ++now.changes;
        now.beat_ms = beat_ms.load(std::memory_order_relaxed);
        const std::lock_guard lock(shared_lock);
        shared = now;
        has_news = true;
    }
    if (!has_news) return;
    has_news = false;
    if (wake) wake();
}

void Station::Inside::run() {
    while (!is_stopping.load()) {
        step();
        if (session || fresh_link) continue;
        std::unique_lock lock(asks_lock);
        asked.wait_for(lock, k_idle_wait, [this] { return is_stopping.load() || !asks.empty(); });
    }
    shut_down();
}

// --- the window's side ---

Station::Station(LinkSource& source, const Clock& clock) : inside_(std::make_unique<Inside>(source, clock)) {}

Station::~Station() {
    stop();
}

std::uint32_t Station::ask(Ask what) {
    Inside& in = *inside_;
    std::uint32_t ticket = 0;
    const std::size_t index = what.index();
    {
        const std::lock_guard lock(in.asks_lock);
        ticket = ++in.last_ticket;
        if (in.asks.size() < k_asks_most) {
            in.asks.push_back({ticket, std::move(what)});
            in.has_asks.store(true, std::memory_order_release);
            in.asked.notify_one();
            return ticket;
        }
    }
    Told told;
    told.ticket = ticket;
    told.index = index;
    told.error = Error{Errc::busy, "station", "too many requests wait"};
    const std::lock_guard lock(in.tolds_lock);
    in.tolds.push_back(std::move(told));
    return ticket;
}

bool Station::fetch(DeviceNow& now) {
    Inside& in = *inside_;
    bool is_new = false;
    if (const std::unique_lock lock(in.shared_lock, std::try_to_lock);
        lock.owns_lock() && in.shared.changes != now.changes) {
        now = in.shared;
        is_new = true;
    }
    now.beat_ms = in.beat_ms.load(std::memory_order_relaxed);
    return is_new;
}

std::optional<Heard> Station::hear() {
    return inside_->heard.pop();
}

std::optional<Told> Station::told() {
    const std::lock_guard lock(inside_->tolds_lock);
    if (inside_->tolds.empty()) return std::nullopt;
    Told first = std::move(inside_->tolds.front());
    inside_->tolds.pop_front();
    return first;
}

void Station::on_news(std::function<void()> wake) {
    inside_->wake = std::move(wake);
}

void Station::start_thread() {
    if (inside_->thread.joinable()) return;
    inside_->thread = std::thread([inside = inside_.get()] { inside->run(); });
}

void Station::stop() {
    Inside& in = *inside_;
    {
        const std::lock_guard lock(in.asks_lock);
        in.is_stopping = true;
    }
    in.asked.notify_all();
    if (in.thread.joinable())
        in.thread.join();  // it closes what is open at its end
    else
        in.shut_down();
    in.is_stopping = false;
}

void Station::step() {
    inside_->step();
}

}  // namespace fettle::app
