#include "app/desk/worker.hpp"

#include <doctest/doctest.h>

#include <condition_variable>
#include <mutex>
#include <stdexcept>
#include <thread>
#include <vector>

using namespace fettle::app;

namespace {

/// Something that another thread waits for. No time in it.
class Signal {
public:
    void set() {
        const std::lock_guard lock(lock_);
        is_set_ = true;
        changed_.notify_all();  // under the lock: who waits may destroy this as soon as it is set
    }
    void wait() {
        std::unique_lock lock(lock_);
        changed_.wait(lock, [this] { return is_set_; });
        is_set_ = false;
    }

private:
    std::mutex lock_;
    std::condition_variable changed_;
    bool is_set_ = false;
};

struct Threaded {
    Signal news;
    std::vector<std::string> bugs;
    std::unique_ptr<Worker> worker =
        make_thread_worker([this] { news.set(); }, [this](const std::string& what) { bugs.push_back(what); });
    /// Delivers until `is_done`.
    template <typename Done>
    void until(Done is_done) {
        while (!is_done()) {
            news.wait();
            worker->deliver();
        }
    }
};

}  // namespace

TEST_CASE("worker inline: 3 jobs are done in deliver(), in order, and what they post in the same call") {
    const auto worker = make_inline_worker();
    std::vector<int> done;
    for (int i = 0; i < 3; ++i)
        worker->post("job " + std::to_string(i), [&, i](const Cancelled&) {
            if (i == 1) worker->post("late", [&](const Cancelled&) { return [&] { done.push_back(9); }; });
            return [&, i] { done.push_back(i); };
        });
    CHECK(done.empty());
    CHECK(worker->running() == "job 0");
    worker->deliver();
    CHECK(done == std::vector{0, 1, 2, 9});
    CHECK(worker->running().empty());
}

TEST_CASE("worker inline: a job that throws is reported with its title, the next one is done") {
    std::vector<std::string> bugs;
    const auto worker = make_inline_worker([&](const std::string& what) { bugs.push_back(what); });
    bool is_done = false;
    worker->post("first", [](const Cancelled&) -> std::function<void()> { throw std::runtime_error("no"); });
    worker->post("second", [](const Cancelled&) -> std::function<void()> { throw 7; });
    worker->post("third", [&](const Cancelled&) { return [&] { is_done = true; }; });
    worker->post("fourth", [](const Cancelled&) { return std::function<void()>{}; });
    worker->deliver();
    CHECK(bugs == std::vector<std::string>{"first: no", "second: not a std::exception"});
    CHECK(is_done);
}

TEST_CASE("worker inline: cancel from inside a job is seen by it, not by the next one") {
    const auto worker = make_inline_worker();
    std::vector<bool> seen;
    for (int i = 0; i < 2; ++i)
        worker->post("job", [&, i](const Cancelled& cancelled) {
            if (i == 0) worker->cancel();
            const bool was = cancelled();
            return [&, was] { seen.push_back(was); };
        });
    worker->deliver();
    CHECK(seen == std::vector{true, false});
}

TEST_CASE("worker thread: 100 jobs run elsewhere, one at a time, and are delivered here in order") {
    Threaded t;
    const auto here = std::this_thread::get_id();
    std::vector<int> done;
    int running = 0, most = 0, elsewhere = 0;  // touched by the worker's thread alone until all is delivered
    for (int i = 0; i < 100; ++i)
        t.worker->post("job", [&, i](const Cancelled&) {
            most = std::max(most, ++running);
            elsewhere += std::this_thread::get_id() != here ? 1 : 0;
            --running;
            return [&, i] { done.push_back(std::this_thread::get_id() == here ? i : -1); };
        });
    t.until([&] { return done.size() == 100; });
    CHECK(most == 1);
    CHECK(elsewhere == 100);
    for (int i = 0; i < 100; ++i) CHECK(done[static_cast<std::size_t>(i)] == i);
    CHECK(t.worker->running().empty());
    CHECK(t.bugs.empty());
}

TEST_CASE("worker thread: the running title, cancel reaches the running job only") {
    Signal began, go_on;
    Threaded t;
    std::vector<bool> seen;
    for (int i = 0; i < 2; ++i)
        t.worker->post("job " + std::to_string(i), [&](const Cancelled& cancelled) {
            began.set();
            go_on.wait();
            const bool was = cancelled();
            return [&, was] { seen.push_back(was); };
        });
    began.wait();
    CHECK(t.worker->running() == "job 0");
    t.worker->cancel();
    go_on.set();
    began.wait();
    CHECK(t.worker->running() == "job 1");
    go_on.set();
    t.until([&] { return seen.size() == 2; });
    CHECK(seen == std::vector{true, false});
}

TEST_CASE("worker thread: a job that throws is reported here, the next one is done") {
    Threaded t;
    bool is_done = false;
    t.worker->post("first",
                   [](const Cancelled&) -> std::function<void()> { throw std::runtime_error("no"); });
    t.worker->post("second", [&](const Cancelled&) { return [&] { is_done = true; }; });
    t.until([&] { return is_done; });
    CHECK(t.bugs == std::vector<std::string>{"first: no"});
}

TEST_CASE("worker thread: its end waits for 20 saves, tells a long job to stop, delivers nothing more") {
    int saved = 0, delivered = 0;
    bool was_told = false;
    {
        Signal began;
        Threaded t;
        t.worker->post("long", [&](const Cancelled& cancelled) {
            began.set();
            while (!cancelled()) std::this_thread::yield();
            was_told = true;
            return [&] { ++delivered; };
        });
        for (int i = 0; i < 20; ++i)
            t.worker->post("save", [&](const Cancelled&) {
                ++saved;
                return [&] { ++delivered; };
            });
        began.wait();
    }
    CHECK(was_told);
    CHECK(saved == 20);
    CHECK(delivered == 0);
}
