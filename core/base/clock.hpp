#pragma once
// Time as an argument: whoever needs it is given a Clock, so that tests hold it still.

#include <cstdint>

namespace fettle {

/// Thread: any, for both functions. Owner: main makes one and hands out references.
class Clock {
public:
    virtual ~Clock() = default;
    /// Never goes back. Unit: µs, from an arbitrary start.
    [[nodiscard]] virtual int64_t monotonic_us() const = 0;
    /// The calendar, for files and logs only: it may jump. Unit: ms since 1970-01-01 00:00 UTC.
    [[nodiscard]] virtual int64_t calendar_ms() const = 0;
};

class SystemClock final : public Clock {
public:
    [[nodiscard]] int64_t monotonic_us() const override;
    [[nodiscard]] int64_t calendar_ms() const override;
};

/// Stands still until it is told to go on. Thread: one.
class FakeClock final : public Clock {
public:
    explicit FakeClock(int64_t calendar_ms = 0) : calendar_us_(calendar_ms * 1000) {}
    [[nodiscard]] int64_t monotonic_us() const override { return monotonic_us_; }
    [[nodiscard]] int64_t calendar_ms() const override { return calendar_us_ / 1000; }
    void advance_us(int64_t us) {
        monotonic_us_ += us;
        calendar_us_ += us;
    }
    void advance_ms(int64_t ms) { advance_us(ms * 1000); }

private:
    int64_t monotonic_us_ = 0;
    int64_t calendar_us_ = 0;
};

}  // namespace fettle
