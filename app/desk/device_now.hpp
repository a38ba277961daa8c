#pragma once
// What is known of the device at this moment: made by its I/O thread, read by the window once a frame.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/link/scan.hpp"
#include "core/link/session.hpp"
#include "core/sim/host.hpp"

namespace fettle::app {

enum class LinkState : std::uint8_t {
    absent,  ///< nothing is attached, or none was asked for
    opening,
    greeting,
    live,
    stale,  ///< it was live and has not answered for longer than a heartbeat
    closing
};

/// What the link's own work showed. Counts are since the session began.
struct LinkHealth {
    std::uint64_t frames_decoded = 0;  ///< infrared frames that the device understood
    std::uint32_t noise_edges = 0;     ///< edges that were none
    std::uint32_t repeats_lost = 0;
    std::uint32_t repeats_heard = 0;
    /// Half of the least round trip of the last ten pings, without the device's own part of it.
    std::optional<double> latency_ms;
    std::optional<double> round_trip_ms;  ///< of the last one
    link::TelemetryCounts telemetry{};
    link::ChannelKind channel = link::ChannelKind::simulated;  ///< that is used now
    std::uint32_t changeovers = 0;                             ///< from one channel of the device to another
    /// The device's clock on the link's, by pings: an event's time is off by so much at most. With the drift,
    /// how much faster the device's clock runs, where it is known.
    std::optional<double> clock_error_us, drift_ppm;
    std::uint32_t reconnects = 0;
    std::uint64_t ring_lost = 0;  ///< events that the window did not fetch in time
};

/// A long work that runs now.
struct Work {
    enum class Kind : std::uint8_t { none, push, read_image } kind = Kind::none;
    std::size_t done = 0, whole = 0;
};

struct DeviceNow {
    LinkState state = LinkState::absent;
    std::optional<link::Attached> attached;  ///< the one that is open, or was last
    std::vector<link::Attached> found;       ///< everything that could be opened
    std::vector<link::Stranger> strangers;   ///< with our ids, and none of ours
    std::optional<wire::HelloReply> hello;
    std::optional<wire::InfoReply> info;
    wire::TrialReply trial{};
    std::int64_t trial_seen_ms = 0;    ///< clock of the window, when `trial` was asked
    std::vector<std::string> display;  ///< rows of its character display; empty: it has none
    LinkHealth health;
    Work work;
    std::optional<Error> last_error;  ///< why it is not live, or what the last request met
    std::int64_t beat_ms = 0;         ///< when the I/O thread last came round (window's clock)
    bool is_simulated = false;
    bool usages_agreed = false;             ///< key usages are told
    std::optional<sim::HostView> computer;  ///< the simulated computer, simulated device only
    std::optional<Error> source_trouble;    ///< what the simulated device's storage file met last
    std::uint64_t changes = 0;              ///< grows with every change of this record, `beat_ms` apart
};

/// The state as the window shows it: stale where the I/O thread itself has not come round for a second,
/// because it waits in a call that does not return. now_ms: the window's clock.
LinkState seen_state(const DeviceNow& now, std::int64_t now_ms);

}  // namespace fettle::app
