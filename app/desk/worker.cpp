#include "app/desk/worker.hpp"

#include <atomic>
#include <condition_variable>
#include <cstdio>
#include <deque>
#include <exception>
#include <mutex>
#include <thread>

namespace fettle::app {

namespace {

using Delivery = std::function<void()>;
using Work = std::function<Delivery(const Cancelled&)>;

struct Job {
    std::string title;
    Work work;
};

void report(const JobBug& bug, const std::string& what) {
    if (bug)
        bug(what);
    else
        std::fprintf(stderr, "fettle: a job failed: %s\n", what.c_str());
}

/// No exception leaves this: one that comes becomes a delivery that reports it.
Delivery run(const Job& job, const Cancelled& cancelled, const JobBug& bug) {
    try {
        return job.work(cancelled);
    } catch (const std::exception& thrown) {
        return [&bug, what = job.title + ": " + thrown.what()] { report(bug, what); };
    } catch (...) {
        return [&bug, what = job.title + ": not a std::exception"] { report(bug, what); };
    }
}

class InlineWorker : public Worker {
public:
    explicit InlineWorker(JobBug bug) : bug_(std::move(bug)) {}

    void post(std::string title, Work work) override { jobs_.push_back({std::move(title), std::move(work)}); }
    /// What a job posts runs in the same call.
    void deliver() override {
        while (!jobs_.empty()) {
            const Job job = std::move(jobs_.front());
            jobs_.pop_front();
            running_ = job.title;
            is_cancelled_ = false;
            const Delivery done = run(
                job, [this] { return is_cancelled_; }, bug_);
            running_.clear();
            if (done) done();
        }
    }
    std::string running() const override {
        if (!running_.empty()) return running_;
        return jobs_.empty() ? "" : jobs_.front().title;
    }
    void cancel() override { is_cancelled_ = true; }

private:
    JobBug bug_;
    std::deque<Job> jobs_;
    std::string running_;
    bool is_cancelled_ = false;
};

class ThreadWorker : public Worker {
public:
    ThreadWorker(std::function<void()> wake, JobBug bug)
        : wake_(std::move(wake)), bug_(std::move(bug)), thread_([this] { loop(); }) {}
    ~ThreadWorker() override {
        {
            const std::lock_guard lock(lock_);
            is_stopping_ = true;
        }
        posted_.notify_all();
        thread_.join();
    }

    void post(std::string title, Work work) override {
        {
            const std::lock_guard lock(lock_);
            jobs_.push_back({std::move(title), std::move(work)});
        }
        posted_.notify_one();
    }
    void deliver() override {
        std::deque<Delivery> done;
        {
            const std::lock_guard lock(lock_);
            done.swap(done_);
        }
        for (const Delivery& delivery : done)
            if (delivery) delivery();
    }
    std::string running() const override {
        const std::lock_guard lock(lock_);
        if (!running_.empty()) return running_;
        return jobs_.empty() ? "" : jobs_.front().title;
    }
    void cancel() override { is_cancelled_ = true; }

private:
    void loop() {
        const Cancelled cancelled = [this] { return is_cancelled_.load() || is_stopping_.load(); };
        for (;;) {
            Job job;
            {
                std::unique_lock lock(lock_);
                posted_.wait(lock, [this] { return is_stopping_ || !jobs_.empty(); });
                if (jobs_.empty()) return;
                job = std::move(jobs_.front());
                jobs_.pop_front();
                running_ = job.title;
                is_cancelled_ = false;
            }
            Delivery done = run(job, cancelled, bug_);
            {
                const std::lock_guard lock(lock_);
                done_.push_back(std::move(done));
                running_.clear();
            }
            if (wake_) wake_();
        }
    }

    std::function<void()> wake_;
    JobBug bug_;
    mutable std::mutex lock_;
    std::condition_variable posted_;
    std::deque<Job> jobs_;
    std::deque<Delivery> done_;
    std::string running_;
    std::atomic<bool> is_cancelled_{false}, is_stopping_{false};
    std::thread thread_;  // last: it starts when everything else is there
};

}  // namespace

std::unique_ptr<Worker> make_inline_worker(JobBug bug) {
    return std::make_unique<InlineWorker>(std::move(bug));
}

std::unique_ptr<Worker> make_thread_worker(std::function<void()> wake, JobBug bug) {
    return std::make_unique<ThreadWorker>(std::move(wake), std::move(bug));
}

}  // namespace fettle::app
