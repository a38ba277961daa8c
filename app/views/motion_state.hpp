#pragma once

#include <cstdint>
#include <string>

#include "app/desk/pointer_meter.hpp"
#include "app/plot/pilot.hpp"
#include "app/views/hands.hpp"
#include "app/views/motion_curve.hpp"
#include "app/views/motion_trail.hpp"
#include "app/views/try_area.hpp"

namespace fettle::app {

/// A text that follows what a hand does: it changes three times a second at most.
class CalmText {
public:
    const std::string& say(std::int64_t now_ms, int lit_ms, std::string text);

private:
    std::string shown_;
    std::int64_t since_ms_ = 0;
    bool has_any_ = false;
};

struct MotionState {
    std::string motion;      ///< looked at; one that is not there: the first
    std::string variant;     ///< "": the profile as it stands
    int source = 0;          ///< which of movers()
    bool shows_way = false;  ///< counts so far instead of speed
    plot::PilotState pilot;
    MotionCurves curves;
    MotionTrail trail;
    /// When the window first saw the hold that runs: what passed since is added to the device's time.
    std::int64_t hold_began_us = -1, hold_seen_ms = 0, hold_seen_us = 0;
    HandsState hands;
    TryArea area;
    PointerMeter meter;
    plot::PilotState meter_pilot;
    bool is_accelerated = false;  ///< the simulated computer accelerates
    CalmText crosshair_text, hold_text, area_text, meter_text;
};

}  // namespace fettle::app
