// One thread: look, publish, open what was asked for, wait for news.

#include "core/link/discovery.hpp"

#include <algorithm>
#include <condition_variable>
#include <deque>
#include <mutex>
#include <optional>
#include <set>
#include <thread>
#include <utility>

namespace fettle::link {

namespace {

constexpr std::int64_t k_idle_us = 5000000;      // then it looks without news: a container may get none
constexpr std::uint32_t k_again_ms = 1000;       // after a look that failed
constexpr std::uint32_t k_quiet_ms = 80;         // one device brings a dozen pieces of news
constexpr std::int64_t k_busy_most_us = 400000;  // a bus that is never quiet is looked at all the same
constexpr int k_drain_most = 256;                // and so it is on a clock that stands still
constexpr std::int64_t k_newcomer_us = 1000000;

using Opened = Result<std::unique_ptr<Link>>;

/// Somebody waits for it in open().
struct Job {
    Attached wanted;
    std::optional<Opened> result;
};

/// What is new and not told of yet: the kernel may still be at work on it.
struct Newcomer {
    std::string what;
    std::int64_t since_us;
};

bool is_in(const std::vector<Attached>& devices, const std::string& path) {
    return std::any_of(devices.begin(), devices.end(), [&](const Attached& one) { return one.path == path; });
}
template <typename T>
bool is_in(const std::vector<T>& all, const T& one) {
    return std::find(all.begin(), all.end(), one) != all.end();
}

/// What to open for `wanted`. Errors: not_found, no_access.
Result<Attached> target(const Sight& sight, const Attached& wanted) {
    for (const Attached& entry : sight.devices) {
        if (!wanted.serial.empty() && wanted.serial != entry.serial) continue;
        if (entry.path == wanted.path) {
            if (!entry.is_accessible) return fail(Errc::no_access, entry.path);
            return entry;
        }
        if (!entry.fallback_path.empty() && entry.fallback_path == wanted.path) {
            Attached alone = entry;
            alone.channel = ChannelKind::serial;
            alone.path = std::exchange(alone.fallback_path, std::string());
            alone.is_accessible = true;  // not known: it is the other channel's
            return alone;
        }
    }
    return fail(Errc::not_found, wanted.path);
}

}  // namespace

struct Discovery::Inside {
    Inside(Wish given, const Clock& its_clock);

    void run();
    Change wait();
    std::uint32_t wait_most_ms() const;
    bool is_look_due() const;
    void look(Change why);
    void publish(Sight seen);
    void hold_back_newcomers(Sight& seen);
    bool is_held_back(const std::string& what, std::vector<Newcomer>& still) const;
    void serve();
    Opened open_one(const Attached& wanted);
    void cancel_jobs();
    bool must_stop() const;

    // Of the thread alone.
    Wish wish;
    const Clock& clock;
    std::set<std::string> refused;  ///< paths that the system did not let us open, until there is news
    std::vector<Newcomer> newcomers;
    bool has_failed = false;     ///< the last look did
    std::int64_t looked_us = 0;  ///< when that was

    // Of everybody, under the lock; only the thread changes `sight`.
    mutable std::mutex mutex;
    std::condition_variable job_done;
    Sight sight;
    std::deque<std::shared_ptr<Job>> jobs;
    bool has_looked = false;
    bool is_stopping = false;

    std::thread thread;
};

Discovery::Inside::Inside(Wish given, const Clock& its_clock) : wish(std::move(given)), clock(its_clock) {
    if (!wish.watch) wish.watch = watch_devices();
    if (!wish.scan) wish.scan = scan_kernel;
    if (!wish.open) wish.open = [this](const Attached& one) { return open_device(one, wish.claims, clock); };
}

void Discovery::Inside::run() {
    look(Change::settled);
    while (!must_stop()) {
        serve();
        const Change change = wait();
        if (change != Change::none) look(change);
    }
    cancel_jobs();
}

bool Discovery::Inside::must_stop() const {
    const std::lock_guard lock(mutex);
    return is_stopping;
}

/// The next reason to look. Several pieces of news are one: it returns when the bus is quiet.
Change Discovery::Inside::wait() {
    Change change = wish.watch->wait(wait_most_ms());
    if (change == Change::none) return is_look_due() ? Change::maybe : Change::none;
    const std::int64_t until = clock.monotonic_us() + k_busy_most_us;
    for (int i = 0; change != Change::maybe && i < k_drain_most && clock.monotonic_us() < until; ++i) {
        const Change more = wish.watch->wait(k_quiet_ms);
        if (more == Change::none) break;
        if (more == Change::settled) change = more;
    }
    return change;
}

std::uint32_t Discovery::Inside::wait_most_ms() const {
    if (has_failed) return k_again_ms;
    std::int64_t most_us = k_idle_us;
    for (const Newcomer& one : newcomers)
        most_us = std::min(most_us, one.since_us + k_newcomer_us - clock.monotonic_us());
    return static_cast<std::uint32_t>(std::max<std::int64_t>(most_us, 0) / 1000 + 1);
}

/// The system has no news, but we have a question.
bool Discovery::Inside::is_look_due() const {
    return has_failed || clock.monotonic_us() - looked_us >= k_idle_us ||
           std::any_of(newcomers.begin(), newcomers.end(), [&](const Newcomer& one) {
               return clock.monotonic_us() - one.since_us >= k_newcomer_us;
           });
}

void Discovery::Inside::look(Change why) {
    auto seen = wish.scan();
    has_failed = !seen;
    looked_us = clock.monotonic_us();
    if (why == Change::settled) refused.clear();
    if (!seen) {  // it changes nothing, but it was one
        publish(sight);
        return;
    }
    std::erase_if(refused, [&](const std::string& path) {  // gone, or the system says so by itself
        return std::none_of(seen->devices.begin(), seen->devices.end(),
                            [&](const Attached& one) { return one.path == path && one.is_accessible; });
    });
    if (has_looked) hold_back_newcomers(*seen);
    publish(std::move(*seen));
}

void Discovery::Inside::publish(Sight seen) {
    seen.unfinished.clear();
    for (Attached& one : seen.devices)
        if (refused.count(one.path) != 0) one.is_accessible = false;
    {
        const std::lock_guard lock(mutex);
        if (has_looked && sight == seen) return;
        sight = std::move(seen);
        has_looked = true;
    }
    if (wish.on_change) wish.on_change();
}

/// A stranger may be ours before the kernel knows its channels; a device may lack one that is still to come.
void Discovery::Inside::hold_back_newcomers(Sight& seen) {
    std::vector<Newcomer> still;
    std::erase_if(seen.strangers, [&](const Stranger& one) {
        return !is_in(sight.strangers, one) && is_held_back(one.place + ' ' + one.product, still);
    });
    std::erase_if(seen.devices, [&](const Attached& one) {
        return is_in(seen.unfinished, one.place) && !is_in(sight.devices, one.path) &&
               is_held_back(one.path, still);
    });
    newcomers = std::move(still);
}

bool Discovery::Inside::is_held_back(const std::string& what, std::vector<Newcomer>& still) const {
    const std::int64_t now_us = clock.monotonic_us();
    const auto known = std::find_if(newcomers.begin(), newcomers.end(),
                                    [&](const Newcomer& other) { return other.what == what; });
    const std::int64_t since_us = known == newcomers.end() ? now_us : known->since_us;
    if (now_us - since_us >= k_newcomer_us) return false;
    still.push_back({what, since_us});
    return true;
}

void Discovery::Inside::serve() {
    for (;;) {
        std::shared_ptr<Job> job;
        {
            const std::lock_guard lock(mutex);
            if (jobs.empty() || is_stopping) return;
            job = std::move(jobs.front());
            jobs.pop_front();
        }
        Opened opened = open_one(job->wanted);
        {
            const std::lock_guard lock(mutex);
            job->result.emplace(std::move(opened));
        }
        job_done.notify_all();
    }
}

Opened Discovery::Inside::open_one(const Attached& wanted) {
    auto found = target(sight, wanted);
    if (!found) return found.failure();
    auto opened = wish.open(*found);
    if (!opened && opened.error().code == Errc::no_access) {
        refused.insert(found->path);
        publish(sight);
    }
    return opened;
}

void Discovery::Inside::cancel_jobs() {
    {
        const std::lock_guard lock(mutex);
        for (const auto& job : jobs) job->result.emplace(fail(Errc::cancelled, job->wanted.path));
        jobs.clear();
    }
    job_done.notify_all();
}

Discovery::Discovery(Wish wish, const Clock& clock)
    : inside_(std::make_shared<Inside>(std::move(wish), clock)) {
    inside_->thread = std::thread([inside = inside_.get()] { inside->run(); });
}

Discovery::~Discovery() {
    {
        const std::lock_guard lock(inside_->mutex);
        inside_->is_stopping = true;
    }
    inside_->wish.watch->wake();
    inside_->thread.join();
}

Sight Discovery::sight() const {
    const std::lock_guard lock(inside_->mutex);
    return inside_->sight;
}

bool Discovery::has_looked() const {
    const std::lock_guard lock(inside_->mutex);
    return inside_->has_looked;
}

Opened Discovery::open(const Attached& attached) {
    const std::shared_ptr<Inside> inside = inside_;
    auto job = std::make_shared<Job>();
    job->wanted = attached;
    std::unique_lock lock(inside->mutex);
    if (inside->is_stopping) return fail(Errc::cancelled, attached.path);
    if (inside->has_looked)
        if (auto found = target(inside->sight, attached); !found) return found.failure();
    inside->jobs.push_back(job);
    inside->wish.watch->wake();
    inside->job_done.wait(lock, [&] { return job->result.has_value(); });
    return std::move(*job->result);
}

}  // namespace fettle::link
