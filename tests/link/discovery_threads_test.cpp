// The same with several threads: run under the thread sanitizer too.

#include <doctest/doctest.h>

#include <thread>

#include "core/link/device_watch.hpp"
#include "core/link/discovery.hpp"
#include "tests/link/discovery_rig.hpp"

using namespace fettle;
using namespace fettle::test;
using link::Attached;
using link::Change;
using link::Discovery;

namespace {

constexpr std::uint32_t k_hour_ms = 3600000;

/// A thread that opens one device and keeps what came of it.
struct Opener {
    Opener(Discovery& discovery, Attached wanted)
        : thread([this, &discovery, one = std::move(wanted)] { result.emplace(discovery.open(one)); }) {}
    Errc error() const { return result->error().code; }
    std::optional<Result<std::unique_ptr<link::Link>>> result;
    std::thread thread;
};

}  // namespace

TEST_CASE("discovery: 100 changes while a device is being opened are one look after it") {
    FakeSystem system;
    const HandClock clock;
    system.set(sight_with({entry(1)}));
    system.close_gate();
    Discovery discovery(system.wish(), clock);
    Opener opener(discovery, entry(1));
    system.wait_for_opening();
    CHECK(discovery.sight() == sight_with({entry(1)}));  // asking does not wait for the opening
    system.set(sight_with({entry(1), entry(2)}));
    system.tell(std::vector<Change>(99, Change::kernel));
    system.tell({Change::settled, Change::none});
    CHECK(system.scans() == 1);
    system.open_gate();
    opener.thread.join();
    system.rest();
    CHECK(opener.result->has_value());
    CHECK(system.scans() == 2);
    CHECK(discovery.sight() == sight_with({entry(1), entry(2)}));
}

TEST_CASE("discovery: opened before its first look is over waits for it") {
    FakeSystem system;
    const HandClock clock;
    system.set(sight_with({entry(1)}));
    Discovery discovery(system.wish(), clock);
    Opener opener(discovery, entry(1));
    opener.thread.join();
    CHECK(opener.result->has_value());
}

TEST_CASE("discovery: two threads that open at once are served one after the other by one thread") {
    FakeSystem system;
    const HandClock clock;
    system.set(sight_with({entry(1), entry(2)}));
    system.close_gate();
    Discovery discovery(system.wish(), clock);
    Opener first(discovery, entry(1));
    Opener second(discovery, entry(2));
    system.wait_for_opening();
    system.open_gate();
    first.thread.join();
    second.thread.join();
    CHECK(first.result->has_value());
    CHECK(second.result->has_value());
    CHECK(system.opened().size() == 2);
    CHECK(system.most_at_once() == 1);
    CHECK(system.is_one_thread());
}

TEST_CASE(
    "discovery: destroyed while a device is being opened it waits for that, and what waits is cancelled") {
    FakeSystem system;
    const HandClock clock;
    system.set(sight_with({entry(1), entry(2)}));
    system.close_gate();
    auto discovery = std::make_optional<Discovery>(system.wish(), clock);
    Opener running(*discovery, entry(1));
    system.wait_for_opening();
    // Whoever waits in open() holds what it waits for: it may outlive the Discovery.
    Opener waiting(*discovery, entry(2));
    system.wait_for_wakes(2);
    std::thread destroyer([&] { discovery.reset(); });
    system.wait_for_wakes(3);
    system.open_gate();
    destroyer.join();
    running.thread.join();
    waiting.thread.join();
    CHECK(running.result->has_value());
    CHECK(waiting.error() == Errc::cancelled);
    CHECK(system.opened().size() == 1);
}

TEST_CASE("discovery: 4 threads open 50 times each while news comes: all are served") {
    FakeSystem system;
    const HandClock clock;
    system.set(sight_with({entry(1)}));
    Discovery discovery(system.wish(), clock);
    std::atomic<int> good{0};
    std::vector<std::thread> threads;
    for (int i = 0; i < 4; ++i)
        threads.emplace_back([&] {
            for (int n = 0; n < 50; ++n) {
                system.tell({Change::kernel, Change::none});
                good += discovery.open(entry(1)).has_value() ? 1 : 0;
                (void)discovery.sight();
            }
        });
    for (std::thread& thread : threads) thread.join();
    CHECK(good == 200);
    CHECK(system.opened().size() == 200);
    CHECK(system.most_at_once() == 1);
}

TEST_CASE("discovery: 100 of them begin and end, with the news and the lists of this computer") {
    const SystemClock clock;
    for (int i = 0; i < 100; ++i) {
        std::mutex mutex;
        std::condition_variable changed;
        bool is_told = false;
        Discovery::Wish wish;
        wish.on_change = [&] {
            {
                const std::lock_guard lock(mutex);
                is_told = true;
            }
            changed.notify_all();
        };
        const Discovery discovery(std::move(wish), clock);
        if (i % 2 == 0) continue;  // ended at any moment of its beginning
        std::unique_lock lock(mutex);
        changed.wait(lock, [&] { return is_told; });
        CHECK(discovery.has_looked());
    }
}

TEST_CASE("device watch: woken before or while it waits it returns at once, with no news") {
    const auto by_time = link::watch_by_time(k_hour_ms);
    const auto by_system = link::watch_kernel();
    for (auto* watch : {by_time.get(), by_system.get()}) {
        if (watch == nullptr) continue;  // a system without news
        watch->wake();
        CHECK(watch->wait(k_hour_ms) != Change::maybe);
        std::thread other([&] { watch->wake(); });
        CHECK(watch->wait(k_hour_ms) != Change::maybe);
        other.join();
    }
}

TEST_CASE("device watch by time: `maybe` once a period, not before") {
    const auto often = link::watch_by_time(0);
    CHECK(often->wait(k_hour_ms) == Change::maybe);
    CHECK(often->wait(0) == Change::maybe);
    const auto seldom = link::watch_by_time(k_hour_ms);
    CHECK(seldom->wait(0) == Change::none);
    CHECK(seldom->wait(1) == Change::none);
    const auto soon = link::watch_by_time(1);
    CHECK(soon->wait(k_hour_ms) == Change::maybe);
}

TEST_CASE("device watch: there is one on every system") {
    CHECK(link::watch_devices() != nullptr);
}
