#pragma once
// The device's clock on the host's: by the round trips with the least delay, with drift, and how far it may
// be off. Pure; owned by whoever feeds it.
//
// Each round trip bounds the offset on both sides: what the device took was sent before, what it sent is
// received after. Where clocks run evenly all bounds hold for one line; the offset is the middle of what they
// leave, and the error is half of it. A trip with little delay bounds tightly, so the least delays decide by
// themselves, and pairs of them far apart bound the drift.
// Source: the offset and delay of RFC 5905 (NTP v4), section 8; the least delay of a window is trusted most
// (its section 10, clock filter); intervals that must all hold (its section 11.2.1, selection).

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
    double drift_error_ppm = 0;  ///< the true drift lies within drift +- this; at most k_drift_most_ppm
    bool is_drift_known = false;
    double error_us = 0;  ///< the true offset lies within offset +- error: half the least delay, and what
                          ///< drift may have added
    int samples = 0;
};

class ClockMap {
public:
    /// A full-speed device's clock is within 0.25 % (USB 2.0, 7.1.11), and a host's own clock is slewed by
    /// 500 ppm at most (adjtimex(2)). A device beyond is off by more than the error says.
    static constexpr double k_drift_most_ppm = 3000;

    /// Samples come in the order of their time; one that goes back, or whose delay is negative, is left out.
    /// Three of those in a row, or one that no even clock can have sent, and the window begins anew.
    void add(const RoundTrip& sample);
    void reset();
    /// Nothing before the first sample.
    std::optional<ClockFigures> figures() const;
    /// A device time on the host's clock. Nothing before the first sample.
    std::optional<std::int64_t> host_us(std::int64_t device_us) const;

private:
    /// How fast the offset grows, per device time.
    struct Slope {
        double least = 0, most = 0;
        bool is_possible() const { return least <= most; }
        double middle() const { return (least + most) / 2; }
    };
    void thin_out();
    Slope slope() const;
    void settle() const;

    // Worked out when somebody asks: a sample costs little, however often it comes.
    mutable std::vector<RoundTrip> window_;  ///< bounded; as it came, until it was worked out
    int left_out_ = 0;                       ///< in a row
    mutable bool is_settled_ = true;
    mutable Slope slope_;  ///< of the window, as all below
    mutable std::int64_t offset_us_ = 0;
    mutable double error_us_ = 0;
};

}  // namespace fettle::link
