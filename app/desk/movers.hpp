#pragma once
// Which inputs work a motion, and how they tell that they were let go. Pure functions. Thread: any.

#include <string>
#include <vector>

#include "core/profile/curve_figures.hpp"
#include "core/profile/model.hpp"

namespace fettle::app {

/// Inputs of one profile that end their presses alike.
struct Mover {
    bool is_remote = false;
    profile::PressSource source;
    std::vector<std::string> inputs;  ///< in the order of the profile; empty: none, a switch as an example
    bool operator==(const Mover&) const = default;
};

/// How that input ends its presses under the variant's press rules. variant: "" the profile as it stands. A
/// protocol that is not known counts as the longest wait for one (profile::remote_period_ms).
profile::PressSource press_source(const profile::Profile& profile, const std::string& variant,
                                  const profile::Input& input);

/// Those that move by this motion in any mode, by any gesture; always a switch at the end, for comparison.
std::vector<Mover> movers(const profile::Profile& profile, const std::string& variant,
                          const std::string& motion);

/// The motion as that variant has it; nullptr: there is none.
const profile::Motion* motion_in(const profile::Profile& profile, const std::string& variant,
                                 const std::string& motion);

/// What an input does by a gesture in a mode; nullptr: nothing.
const profile::Action* action_of(const profile::Profile& profile, std::size_t mode, const std::string& input,
                                 engine::Gesture gesture);

}  // namespace fettle::app
