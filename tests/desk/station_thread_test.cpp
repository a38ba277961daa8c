// The station on a thread of its own. Nothing here waits for time to pass: only for news.

#include <doctest/doctest.h>

#include <algorithm>
#include <atomic>
#include <condition_variable>
#include <mutex>
#include <thread>

#include "app/desk/station_state.hpp"
#include "tests/desk/station_rig.hpp"

using namespace fettle;
using namespace fettle::app;
using namespace fettle::app::test;
using fettle::test::plain_image;

namespace {

/// Closed until it is opened; who comes meanwhile waits and is seen.
class Gate {
public:
    /// True: it had to wait.
    bool pass() {
        std::unique_lock lock(lock_);
        const bool is_closed = !is_open_;
        ++waiting_;
        changed_.notify_all();
        changed_.wait(lock, [this] { return is_open_; });
        --waiting_;
        return is_closed;
    }
    void close() {
        const std::lock_guard lock(lock_);
        is_open_ = false;
    }
    void open() {
        const std::lock_guard lock(lock_);
        is_open_ = true;
        changed_.notify_all();
    }
    void wait_until_somebody_waits() {
        std::unique_lock lock(lock_);
        changed_.wait(lock, [this] { return waiting_ != 0 && !is_open_; });
    }

private:
    std::mutex lock_;
    std::condition_variable changed_;
    int waiting_ = 0;
    bool is_open_ = true;
};

class GatedLink : public link::Link {
public:
    GatedLink(std::unique_ptr<link::Link> inner, Gate& gate, Gate& send_gate)
        : inner_(std::move(inner)), gate_(gate), send_gate_(send_gate) {}
    /// Who had to wait is told that the device did not take it, as hidapi does.
    Status send(std::span<const std::uint8_t> message) override {
        if (send_gate_.pass()) return fail(Errc::timed_out, "gate");
        return inner_->send(message);
    }
    Result<std::optional<link::Message>> receive(std::uint32_t wait_ms) override {
        gate_.pass();
        return inner_->receive(wait_ms);
    }
    std::uint64_t now_ms() const override { return inner_->now_ms(); }
    link::ChannelKind channel() const override { return inner_->channel(); }

private:
    std::unique_ptr<link::Link> inner_;
    Gate& gate_;
    Gate& send_gate_;
};

/// The simulated device, its links behind a gate.
class GatedSource : public LinkSource {
public:
    std::vector<link::Attached> found() override { return inner_.found(); }
    Result<std::unique_ptr<link::Link>> open(const link::Attached& attached) override {
        auto opened = inner_.open(attached);
        if (!opened) return opened;
        return std::unique_ptr<link::Link>(std::make_unique<GatedLink>(std::move(*opened), gate, send_gate));
    }
    std::shared_ptr<sim::SimDevice> simulated() override { return inner_.simulated(); }
    void idle(std::uint32_t ms) override { inner_.idle(ms); }
    Gate gate, send_gate;

private:
    SimSource inner_;
};

struct Threaded {
private:
    std::mutex lock_;  // these outlive the station's thread
    std::condition_variable changed_;
    bool has_news_ = false;

public:
    Threaded() {
        station.on_news([this] {
            const std::lock_guard lock(lock_);
            has_news_ = true;
            changed_.notify_all();
        });
        station.start_thread();
    }
    /// Fetches as a window does, until `is_done`; between two looks it waits for news.
    template <typename Done>
    void until(Done is_done) {
        for (;;) {
            fetch();
            if (is_done()) return;
            std::unique_lock lock(lock_);
            changed_.wait(lock, [this] { return has_news_; });
            has_news_ = false;
        }
    }
    void fetch() {
        station.fetch(now);
        while (auto told = station.told()) tolds.push_back(std::move(*told));
        while (auto one = station.hear()) {
            gaps += one->gap_before;
            ++heard;
        }
    }
    const Told& answer(Ask what) {
        const auto ticket = station.ask(std::move(what));
        until([&] { return !tolds.empty() && tolds.back().ticket == ticket; });
        return tolds.back();
    }

    SystemClock clock;
    GatedSource source;
    Station station{source, clock};
    DeviceNow now;
    std::vector<Told> tolds;
    std::uint64_t heard = 0, gaps = 0;
};

}  // namespace

TEST_CASE(
    "station thread: connect, push, keep, 20 clicks; every request told, 1,000 events heard without a gap") {
    Threaded t;
    CHECK_FALSE(t.answer(ask::Connect{}).error.has_value());
    CHECK_FALSE(t.answer(ask::Push{plain_image(2), 600}).error.has_value());
    CHECK_FALSE(t.answer(ask::Keep{true}).error.has_value());
    for (int i = 0; i < 20; ++i)
        CHECK_FALSE(t.answer(ask::Hand{profile::Switch{1, true}, true, 30}).error.has_value());
    t.until([&] { return t.heard >= 1000; });
    CHECK(t.gaps == 0);
    CHECK(t.now.state == LinkState::live);
    t.station.stop();
    t.fetch();
    CHECK(t.now.state == LinkState::absent);
    fettle::test::check_ends_released(*t.source.simulated());
}

TEST_CASE("station thread: stopped in the middle of a push and with 10 requests waiting, each is told") {
    Threaded t;
    t.answer(ask::Connect{});
    const auto before = t.tolds.size();
    t.station.ask(ask::Push{plain_image(2), 600});
    for (int i = 0; i < 10; ++i) t.station.ask(ask::SetMode{0});
    t.until([&] { return t.now.work.kind == Work::Kind::push || t.tolds.size() > before; });
    t.station.stop();
    t.fetch();
    CHECK(t.tolds.size() == before + 11);
    fettle::test::check_ends_released(*t.source.simulated());
}

TEST_CASE(
    "station thread: a link call that does not return: asking and fetching go on, the window sees it stale") {
    Threaded t;
    t.answer(ask::Connect{});
    t.source.gate.close();
    t.source.gate.wait_until_somebody_waits();
    t.fetch();
    // The beat stands still from here on: 1,001 ms after it the window says so, whatever the thread does.
    const auto beat = t.now.beat_ms;
    CHECK(seen_state(t.now, beat + 1001) == LinkState::stale);
    const auto first = t.station.ask(ask::Release{});
    const auto second = t.station.ask(ask::SetMode{0});
    CHECK(second == first + 1);
    t.fetch();
    CHECK(t.now.beat_ms == beat);
    t.source.gate.open();
    t.until([&] { return t.tolds.back().ticket == second; });
    CHECK_FALSE(t.tolds.back().error.has_value());
    CHECK(seen_state(t.now, t.now.beat_ms) == t.now.state);
    t.station.stop();
    fettle::test::check_ends_released(*t.source.simulated());
}

TEST_CASE("station thread: stop while the link blocks returns when the link does, and what waited is told") {
    Threaded t;
    t.answer(ask::Connect{});
    t.source.gate.close();
    t.source.gate.wait_until_somebody_waits();
    const auto ticket = t.station.ask(ask::SetMode{0});
    std::atomic<bool> has_stopped{false};
    std::thread stopper([&] {
        t.station.stop();
        has_stopped = true;
    });
    CHECK_FALSE(has_stopped.load());  // the thread is joined, and it waits at the gate
    t.source.gate.open();
    stopper.join();
    CHECK(has_stopped.load());
    t.fetch();
    CHECK(t.tolds.back().ticket == ticket);
    fettle::test::check_ends_released(*t.source.simulated());
}

TEST_CASE(
    "station thread: stop while a write blocks in a push: asking and fetching go on, it is seen stale, and "
    "all "
    "is told when the write returns") {
    Threaded t;
    t.answer(ask::Connect{});
    t.source.send_gate.close();
    const auto push = t.station.ask(ask::Push{plain_image(2), 600});
    t.source.send_gate.wait_until_somebody_waits();
    t.fetch();
    const auto beat = t.now.beat_ms;
    std::thread stopper([&] { t.station.stop(); });
    const auto late = t.station.ask(ask::SetMode{0});  // nobody waits for the write but stop()
    CHECK(late == push + 1);
    t.fetch();
    CHECK(t.now.beat_ms == beat);
    CHECK(seen_state(t.now, beat + 1001) == LinkState::stale);
    t.source.send_gate.open();
    stopper.join();
    t.fetch();
    const auto told = [&](std::uint32_t ticket) {
        return std::find_if(t.tolds.begin(), t.tolds.end(),
                            [&](const Told& one) { return one.ticket == ticket; });
    };
    REQUIRE(told(push) != t.tolds.end());
    REQUIRE(told(late) != t.tolds.end());
    CHECK(told(push)->is_old_profile_safe);
    CHECK(t.now.state == LinkState::absent);
    fettle::test::check_ends_released(*t.source.simulated());
}

TEST_CASE(
    "station thread: a write that blocks and fails once is made good, and the window sees it live again") {
    Threaded t;
    t.answer(ask::Connect{});
    t.source.send_gate.close();
    const auto push = t.station.ask(ask::Push{plain_image(2), 600});
    t.source.send_gate.wait_until_somebody_waits();
    t.source.send_gate.open();
    t.until([&] { return !t.tolds.empty() && t.tolds.back().ticket == push; });
    CHECK_FALSE(t.tolds.back().error.has_value());
    CHECK(t.now.state == LinkState::live);
    t.station.stop();
    fettle::test::check_ends_released(*t.source.simulated());
}

TEST_CASE(
    "station thread: 20 stations one after the other, started and stopped at once or live, leave nothing "
    "behind") {
    for (int i = 0; i < 20; ++i) {
        Threaded t;
        if (i % 2 == 0) t.answer(ask::Connect{});
        if (i % 3 == 0) t.station.ask(ask::Connect{});
        t.station.stop();
        t.station.stop();
        fettle::test::check_ends_released(*t.source.simulated());
    }
}
