#pragma once
// A station with a device behind a cable that can be made to do what cables and strange devices do, at any
// moment. Everything in one thread: the test steps, and the window's clock is the simulated device's.

#include <deque>
#include <memory>
#include <random>
#include <string>
#include <vector>

#include "app/desk/sim_source.hpp"
#include "app/desk/station.hpp"
#include "tests/sim/rig.hpp"

namespace fettle::app::test {

/// The device's own time, and what a test adds while nothing happens on the device.
class DeviceClock : public Clock {
public:
    explicit DeviceClock(std::shared_ptr<sim::SimDevice> device) : device_(std::move(device)) {}
    std::int64_t monotonic_us() const override {
        return static_cast<std::int64_t>(device_->now_us()) + more_us_;
    }
    std::int64_t calendar_ms() const override { return monotonic_us() / 1000; }
    std::int64_t ms() const { return monotonic_us() / 1000; }
    void add_ms(std::int64_t ms) { more_us_ += ms * 1000; }

private:
    std::shared_ptr<sim::SimDevice> device_;
    std::int64_t more_us_ = 0;
};

/// Asks, and lets the station and its clock go on until it is told.
Told answered(Station& station, DeviceClock& clock, DeviceNow& now, Ask what);

enum class Trouble {
    none,
    refuse,    ///< it cannot be opened
    stall,     ///< nothing comes any more
    garbage,   ///< instead of messages random bytes come, one each ms
    flood,     ///< 40 messages of random bytes each ms
    standing,  ///< empty telemetry without end, and the link's clock stands still
    wrong_id,  ///< every answer has another request's id
    late,      ///< every message comes 20 s later
    foreign,   ///< whole telemetry of another start, one batch each ms, and nothing else
    close,     ///< closed
};
inline constexpr Trouble k_troubles[] = {Trouble::stall,    Trouble::garbage,  Trouble::flood,
                                         Trouble::standing, Trouble::wrong_id, Trouble::late,
                                         Trouble::close};

/// What all links of a source share; a test turns it while they are open.
struct Cable {
    Trouble trouble = Trouble::none;
    int close_at =
        0;  ///< the n-th message from `messages` = 0 on, in either direction, telemetry apart; 0: never
    int messages = 0;
    int opened = 0;
    std::uint64_t ends_ms = 0;  ///< when the trouble is over by itself, device's time; 0: when a test says so
    bool is_attached = true;
};

class StrangeSource : public LinkSource {
public:
    explicit StrangeSource(std::shared_ptr<sim::SimDevice> device) : device_(std::move(device)) {}
    std::vector<link::Attached> found() override;
    Result<std::unique_ptr<link::Link>> open(const link::Attached& attached) override;
    std::shared_ptr<sim::SimDevice> simulated() override { return is_real ? nullptr : device_; }
    void idle(std::uint32_t ms) override { device_->advance_ms(ms); }

    std::shared_ptr<Cable> cable = std::make_shared<Cable>();
    bool is_real = false;  ///< it is announced as a device on HID
    link::MemoryLink::Way way = link::MemoryLink::Way::hid;

private:
    std::shared_ptr<sim::SimDevice> device_;
};

struct Rig {
    explicit Rig(std::shared_ptr<sim::SimDevice> with = fettle::test::kept_device());

    std::shared_ptr<sim::SimDevice> device;
    DeviceClock clock;
    StrangeSource source;
    Station station;
    DeviceNow now;
    std::vector<Told> tolds;
    std::vector<Heard> heard;

    /// A round, and everything fetched. The clock goes on by 1 ms at least.
    void step();
    void run_ms(std::int64_t ms);
    template <typename Until>
    bool run_until(Until until, std::int64_t most_ms) {
        const std::int64_t end = clock.ms() + most_ms;
        while (!until() && clock.ms() < end) step();
        return until();
    }
    bool run_to(LinkState state, std::int64_t most_ms) {
        return run_until([&] { return now.state == state; }, most_ms);
    }
    /// Asks and steps until it is told, up to 30 s of the clock; a test that is not told fails.
    Told answer(Ask what);
    /// The answer to a ticket among `tolds`.
    const Told* told(std::uint32_t ticket) const;
    void go_live(const std::string& path = {});
    /// The device plugged out and in, a second later nothing is held.
    void check_ends_released();
};

std::string name_of(Trouble trouble);

}  // namespace fettle::app::test
