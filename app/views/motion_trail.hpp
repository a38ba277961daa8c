#pragma once
// What the device really sent to the pointer, read from the roll as it grows: the last hold that moved by a
// motion, and every step of the pointer. Thread: the window's.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "app/plot/decimate.hpp"
#include "core/profile/model.hpp"
#include "core/trace/roll.hpp"

namespace fettle::app {

/// A pointer report.
struct PointerReport {
    std::int64_t at_us = 0;  ///< device time
    std::int16_t dx = 0, dy = 0;
    std::uint8_t buttons = 0;
};

/// One hold, from the press's action to the end of the last report that belongs to it.
struct SentHold {
    std::uint8_t input = 0;
    std::int64_t began_us = 0;  ///< device time
    std::optional<std::int64_t> ended_us;
    std::vector<plot::Sample> way;  ///< counts on the axis that moved more, by us since it began
    bool is_running() const { return !ended_us; }
};

/// Which input, by which gesture, in which mode: does that move by the motion that is looked at?
struct HoldQuestion {
    const profile::Profile* runs = nullptr;  ///< what the device runs
    std::string motion;
};

class MotionTrail {
public:
    /// Reads what is new. The first time, and after the roll began anew, only what comes from now on (a roll
    /// of hours is not read again). Another motion: the hold is forgotten.
    void follow(const trace::Roll& roll, const HoldQuestion& question);

    const std::optional<SentHold>& hold() const { return hold_; }
    /// Of the last follow(): the new ones.
    const std::vector<PointerReport>& reports() const { return reports_; }

private:
    void take(const trace::Moment& moment, const HoldQuestion& question);
    void take_gesture(const trace::Moment& moment, const HoldQuestion& question);
    void take_report(const trace::Moment& moment);

    std::optional<SentHold> hold_;
    std::vector<PointerReport> reports_;
    std::string motion_;
    std::size_t next_ = 0;  ///< event of the roll
    bool has_begun_ = false;
};

}  // namespace fettle::app
