#pragma once
// What a motion promises, run by the engine and kept until the motion changes: figures, way and speed over
// hold time. Thread: its owner's.

#include <cstdint>
#include <deque>
#include <memory>
#include <vector>

#include "app/plot/decimate.hpp"
#include "core/profile/curve_figures.hpp"

namespace fettle::app {

struct MotionCurve {
    profile::Motion motion;
    profile::PressSource source;
    bool is_compiled = false;  ///< false: its moves cannot be; all else is empty
    profile::MotionFigures figures{};
    /// From finger up to the device's release, lifting after 1 s and up to a period later. Unit: ms.
    std::uint32_t least_release_ms = 0, most_release_ms = 0;
    std::vector<plot::Sample> way;    ///< counts by us of hold time
    std::vector<plot::Sample> speed;  ///< counts a second by us of hold time, without the first step
};

/// Hold time after which nothing new comes: full speed was reached a while ago. Unit: us; 2 to 30 s.
double told_until_us(const profile::Motion& motion);

/// Speed from the way: at each point over a window of 100 ms about it, of up to 400 ms while that holds fewer
/// than 20 counts; the first step, which comes at once, left out.
std::vector<plot::Sample> speed_of(const std::vector<plot::Sample>& way, double until_us);

/// The last few that were asked for, as each costs some ms to run.
class MotionCurves {
public:
    std::shared_ptr<const MotionCurve> of(const profile::Motion& motion, const profile::PressSource& source);

private:
    std::deque<std::shared_ptr<const MotionCurve>> kept_;  ///< newest first
};

}  // namespace fettle::app
