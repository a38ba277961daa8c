#pragma once
// The device's clock on the host's: by the round trips with the least delay, with drift, and how far it may
// be off. Pure; owned by whoever feeds it. Source: the offset and delay of RFC 5905 (NTP v4), section 8; the
// least delay of a window is trusted most (its section 10, clock filter).

#include <cstdint>
#include <optional>
#include <vector>

namespace fettle::link {

/// One question and its answer. host: the link's clock, device: made whole (no wrap). us.
struct RoundTrip {
    std::int64_t host_sent_us = 0, host_received_us = 0;
    std::int64_t device_received_us = 0, device_sent_us = 0;
};

struct ClockFigures {
    std::int64_t offset_us = 0;  ///< host - device, at the newest sample
    double drift_ppm = 0;        ///< how much faster the device's clock runs; 0 until it is known
    bool is_drift_known = false;
    double error_us = 0;  ///< the true offset lies within offset +- error: half the least delay, and what
                          ///< drift may have added
    int samples = 0;
};

class ClockMap {
public:
    /// Samples come in the order of their time; one that goes back, or whose delay is negative, is left out.
    void add(const RoundTrip& sample);
    void reset();
    /// Nothing before the first sample.
    std::optional<ClockFigures> figures() const;
    /// A device time on the host's clock. Nothing before the first sample.
    std::optional<std::int64_t> host_us(std::int64_t device_us) const;

private:
    std::vector<RoundTrip> window_;  ///< bounded
};

}  // namespace fettle::link
