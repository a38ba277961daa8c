#pragma once
// A recording of telemetry: events in the order in which they came, with whole device times and the gaps
// known. Owned by one thread; copied where another needs it.

#include <cstdint>
#include <string>
#include <vector>

#include "core/engine/event.hpp"

namespace fettle::trace {

/// One event. at_us: device time since the recording's first event; may lie a little before its
/// predecessor's.
struct Moment {
    std::int64_t at_us = 0;
    engine::Event event{};
};

struct Recording {
    std::uint32_t image_crc = 0;  ///< of the profile that ran when the recording began
    std::uint16_t engine_build = 0;
    bool has_usages = false;         ///< the person agreed that key usages are recorded
    std::uint32_t batches_lost = 0;  ///< gaps in the telemetry's sequence
    std::vector<Moment> moments;
};

/// One press of an input as the rules saw it.
struct Press {
    std::uint8_t input = 0;
    std::int64_t accepted_us = 0;
    std::int64_t ended_us = -1;  ///< -1: not over at the end of the recording
    bool hit_hold_limit = false;
};

/// Presses that were accepted, in the order of their acceptance.
std::vector<Press> presses(const Recording& recording);

/// How often each outcome was reported (index: PressOutcome).
std::vector<std::uint32_t> outcomes(const Recording& recording);

/// What keyboard and pointer got: sums over the reports of a recording.
struct ReportSums {
    std::uint32_t keyboard_reports = 0, pointer_reports = 0, consumer_reports = 0;
    std::int64_t x = 0, y = 0, wheel = 0, pan = 0;
};
ReportSums report_sums(const Recording& recording);

/// From the time the finger went up to the last report that still moved the pointer before it rested for 300
/// ms: what a person sees of letting go. 0 where nothing moved after that. Unit: us.
std::int64_t still_after_us(const Recording& recording, std::int64_t finger_up_us);

/// Infrared repeats that the device found missing.
std::uint32_t repeats_lost(const Recording& recording);

}  // namespace fettle::trace
