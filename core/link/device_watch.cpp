// News of devices where the system tells none: a look once in a while.

#include "core/link/device_watch.hpp"

#include <chrono>
#include <condition_variable>
#include <mutex>

namespace fettle::link {

namespace {

using Steady = std::chrono::steady_clock;

class TimeWatch : public DeviceWatch {
public:
    explicit TimeWatch(std::uint32_t period_ms) : period_(period_ms), next_(Steady::now() + period_) {}

    Change wait(std::uint32_t ms) override {
        const Steady::time_point until = Steady::now() + std::chrono::milliseconds(ms);
        std::unique_lock lock(mutex_);
        const bool is_woken = woken_.wait_until(lock, std::min(until, next_), [this] { return is_woken_; });
        is_woken_ = false;
        if (is_woken || Steady::now() < next_) return Change::none;
        next_ = Steady::now() + period_;
        return Change::maybe;
    }

    void wake() override {
        {
            const std::lock_guard lock(mutex_);
            is_woken_ = true;
        }
        woken_.notify_one();
    }

private:
    const std::chrono::milliseconds period_;
    Steady::time_point next_;  ///< of the thread that waits
    std::mutex mutex_;
    std::condition_variable woken_;
    bool is_woken_ = false;
};

}  // namespace

std::unique_ptr<DeviceWatch> watch_by_time(std::uint32_t period_ms) {
    return std::make_unique<TimeWatch>(period_ms);
}

std::unique_ptr<DeviceWatch> watch_devices() {
    auto watch = watch_kernel();
    return watch ? std::move(watch) : watch_by_time();
}

}  // namespace fettle::link
