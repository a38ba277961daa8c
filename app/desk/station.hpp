#pragma once
// The I/O thread of one device, and what is asked of it. The only code of the window that touches a link:
// opens, greets, subscribes, listens, answers requests, notices stalls and unplugged cables, opens again by
// itself.
//
//   absent -> opening -> greeting -> live <-> stale -> (closed: opening again) ; any -> closing -> absent
//
// One step() is one round: a waiting request, or up to 8 ms of listening. The thread calls it in a loop;
// tests call it themselves, so that a whole afternoon runs in a second, the same every time.

#include <atomic>
#include <deque>
#include <functional>
#include <memory>
#include <mutex>
#include <optional>
#include <thread>
#include <variant>
#include <vector>

#include "app/desk/device_now.hpp"
#include "core/base/clock.hpp"
#include "core/base/ring.hpp"
#include "core/link/session.hpp"
#include "core/profile/model.hpp"
#include "core/sim/sim_device.hpp"

namespace fettle::app {

namespace ask {
struct Connect {
    std::string path;  ///< of an Attached; "" : what is there, the simulated one last
};
struct Disconnect {};
struct Push {
    std::vector<std::uint8_t> image;
    std::uint16_t trial_s = 0;
};
struct Keep {
    bool helper_overrides = false;
};
struct Revert {};
struct Extend {
    std::uint16_t seconds = 60;
};
struct Release {};  ///< overtakes everything that waits
struct SetMode {
    std::uint8_t mode = 0;
};
struct SetVariant {
    std::uint8_t variant = 0;
};
struct ReadImage {
    std::uint8_t slot = wire::k_slot_current;
};
struct AgreeUsages {
    bool is_agreed = false;
};
struct Cancel {};  ///< the long work that runs
// --- the simulated device's hands, cable and computer only ---
/// hold_ms 0 with is_down: until the hand lets go.
struct Hand {
    profile::InputSource source;
    bool is_down = true;
    std::uint32_t hold_ms = 0;
};
struct Axis {
    std::uint8_t axis = 0;
    std::int16_t permille = 0;
};
struct Cable {
    bool is_plugged = true;
};
struct PowerCut {};
}  // namespace ask

using Ask = std::variant<ask::Connect, ask::Disconnect, ask::Push, ask::Keep, ask::Revert, ask::Extend,
                         ask::Release, ask::SetMode, ask::SetVariant, ask::ReadImage, ask::AgreeUsages,
                         ask::Cancel, ask::Hand, ask::Axis, ask::Cable, ask::PowerCut>;

/// How a request ended. index: of the Ask's alternative.
struct Told {
    std::uint32_t ticket = 0;
    std::size_t index = 0;
    std::optional<Error> error;
    std::vector<std::uint8_t> image;        ///< of ReadImage
    std::optional<wire::TrialReply> trial;  ///< of Push, Keep, Revert, Extend
};

/// One telemetry event on its way to the window, with the gap before it.
struct Heard {
    std::int64_t at_us = 0;
    engine::Event event{};
    std::uint32_t gap_before = 0;  ///< batches or ring places lost just before
    std::uint16_t start = 0;       ///< grows each time that a session begins: times start anew
};

/// Where links come from; the door to the simulated device, to hidapi and to a test's broken cable alike.
struct LinkSource {
    virtual ~LinkSource() = default;
    virtual std::vector<link::Attached> found() = 0;
    virtual Result<std::unique_ptr<link::Link>> open(const link::Attached& attached) = 0;
    /// The simulated device behind an open link, nullptr for real ones.
    virtual std::shared_ptr<sim::SimDevice> simulated() { return nullptr; }
};

class Station {
public:
    /// clock: the window's. source and clock outlive it.
    Station(LinkSource& source, const Clock& clock);
    ~Station();
    Station(const Station&) = delete;
    Station& operator=(const Station&) = delete;

    // --- the window's thread ---
    /// Gives the ticket that its Told will carry. Never waits. A full queue answers busy at once.
    std::uint32_t ask(Ask what);
    /// False: nothing new, or the other side is just writing it; `now` is then as it was.
    bool fetch(DeviceNow& now);
    std::optional<Heard> hear() { return heard_.pop(); }
    std::optional<Told> told();
    /// Called from the I/O thread when there is something to fetch; must only post an event.
    void on_news(std::function<void()> wake);
    void start_thread();
    /// Lets the device go, joins. Also in the destructor.
    void stop();

    // --- the I/O thread, or a test ---
    void step();

private:
    struct Inside;
    std::unique_ptr<Inside> inside_;
    Ring<Heard, 65536> heard_;
};

}  // namespace fettle::app
