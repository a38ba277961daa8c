#pragma once
// A system whose devices and news the test makes. No time passes in it: the test says when a wait is over.

#include <atomic>
#include <condition_variable>
#include <deque>
#include <functional>
#include <memory>
#include <mutex>
#include <string>
#include <vector>

#include "core/link/discovery.hpp"

namespace fettle::test {

/// Goes on when it is told to. Thread: any.
class HandClock final : public Clock {
public:
    std::int64_t monotonic_us() const override { return us_; }
    std::int64_t calendar_ms() const override { return us_ / 1000; }
    void advance_ms(std::int64_t ms) { us_ += ms * 1000; }

private:
    std::atomic<std::int64_t> us_{0};
};

/// What a Discovery is given, held by the test. Thread: any, unless it says otherwise.
class FakeSystem {
public:
    /// Of what is attached; calls to scan() give it. A failure is given once.
    void set(link::Sight sight);
    void fail_next_scan();
    /// `none`: the time of a wait is over.
    void tell(std::vector<link::Change> changes);
    /// Tells, with the quiet that ends it, and returns when the thread has done all that follows and waits.
    void tell_and_rest(std::vector<link::Change> changes);
    /// Returns when the thread waits for news and there is nothing left to do.
    void rest();

    /// Openings block until open_gate(); wait_for_opening() returns when one is in.
    void close_gate();
    void open_gate();
    void wait_for_opening();
    /// Returns when wake() was called so often, by open() and by the end of the Discovery.
    void wait_for_wakes(int count);
    /// What the next openings give.
    void refuse_with(std::optional<Errc> code);

    int scans() const;
    int changes() const;
    std::vector<link::Attached> opened() const;
    /// Most openings that ran at one time, and whether all came from one thread.
    int most_at_once() const;
    bool is_one_thread() const;
    std::uint32_t last_wait_ms() const;

    /// `this` outlives the Discovery.
    link::Discovery::Wish wish();

private:
    friend class FakeWatch;
    Result<link::Sight> scan();
    Result<std::unique_ptr<link::Link>> open(const link::Attached& attached);
    link::Change wait(std::uint32_t ms);
    void wake();

    mutable std::mutex mutex_;
    std::condition_variable changed_;
    link::Sight sight_;
    std::deque<link::Change> news_;
    std::vector<link::Attached> opened_;
    std::vector<std::size_t> threads_;
    std::optional<Errc> refusal_;
    bool is_gate_closed_ = false, is_woken_ = false, is_resting_ = false, is_failing_ = false;
    int scans_ = 0, changes_ = 0, opening_ = 0, most_opening_ = 0, wakes_ = 0;
    std::uint32_t last_wait_ms_ = 0;
};

/// An entry of a device with a HID channel, "/dev/hidraw<number>", serial number "FT<number>".
link::Attached entry(int number, const char* fallback = "");
link::Sight sight_with(std::vector<link::Attached> devices, std::vector<link::Stranger> strangers = {});

}  // namespace fettle::test
