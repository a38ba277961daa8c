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
#include "core/link/scan.hpp"
#include "core/link/session.hpp"
#include "core/profile/model.hpp"
#include "core/sim/sim_device.hpp"

namespace fettle::app {

namespace ask {
struct Connect {
    /// Of an Attached, or of its fallback, or a serial number; "" : what is there, the simulated one last.
    /// A device that the system does not let this user open is waited for, and told as no_access meanwhile.
    std::string path;
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
/// Errors: closed (no link, or it went while the request ran), not_found (nothing is attached; no trial runs;
/// Cancel: nothing to cancel), unsupported (hands of a real device; a button that nobody can send), busy (the
/// queue is full), cancelled, timed_out, and those of link::Session.
struct Told {
    std::uint32_t ticket = 0;
    std::size_t index = 0;
    std::optional<Error> error;
    std::vector<std::uint8_t> image;        ///< of ReadImage
    std::optional<wire::TrialReply> trial;  ///< of Push, Keep, Revert, Extend
    /// With an error of Push, Keep, Revert, Extend: the profile that was kept before is certainly still kept.
    /// False: the answer to Keep was lost; what the device runs says it once it is back.
    bool is_old_profile_safe = true;
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
    /// Asked ten times a second while nothing is open and once a second else: it may answer from what it
    /// knows.
    virtual std::vector<link::Attached> found() = 0;
    /// Devices with our ids that are none of ours, as of the same look.
    virtual std::vector<link::Stranger> strangers() { return {}; }
    /// False: found() knows nothing yet; a Connect to what there is waits for it.
    virtual bool has_looked() { return true; }
    virtual Result<std::unique_ptr<link::Link>> open(const link::Attached& attached) = 0;
    /// The simulated device behind an open link (or the one that would be opened), nullptr for real ones.
    virtual std::shared_ptr<sim::SimDevice> simulated() { return nullptr; }
    /// No link is open and a round takes this long: a simulated device's time goes on here. Does not wait.
    virtual void idle(std::uint32_t ms) { static_cast<void>(ms); }
    /// Called about once a second, after a keep, and when a link was closed: what must outlive the program
    /// may be saved. What went wrong is told once.
    virtual std::optional<Error> tend() { return std::nullopt; }
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
    /// Order: requests are served as they came, but Release first; while one runs, Cancel, the simulated
    /// device's hands, cable and power, and Disconnect or Connect (which cancel a Push or ReadImage) do not
    /// wait.
    std::uint32_t ask(Ask what);
    /// False: nothing new, or the other side is just writing it; `now` is then as it was but for `beat_ms`,
    /// which is always set.
    bool fetch(DeviceNow& now);
    std::optional<Heard> hear();
    std::optional<Told> told();
    /// Called from the I/O thread when there is something to fetch; must only post an event. Before
    /// start_thread().
    void on_news(std::function<void()> wake);
    void start_thread();
    /// Lets the device go, joins; what still waits is answered `closed`. Also in the destructor. A link call
    /// that does not return is waited for: hidapi's own write gives up after 5.1 s on Linux. Until then this
    /// call blocks, and nothing else does: asking, fetching and hearing go on from another thread. Nothing is
    /// sent after it but the unsubscribing, for 200 ms at most, and not where the last write blocked.
    void stop();

    // --- the I/O thread, or a test (which lets its clock go on, 8 ms a step) ---
    void step();

private:
    struct Inside;
    std::unique_ptr<Inside> inside_;
};

}  // namespace fettle::app
