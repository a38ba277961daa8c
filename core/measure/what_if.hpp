#pragma once
// What an input's press rules would have made of the levels that were recorded, had they been others. The
// levels run through the engine's own rules (core/engine/press.hpp, class Presses), ms by ms: there is no
// second implementation.
//
// Limits, to be said where figures are shown: for remotes the levels carry the resolution of the repeat
// period and the holdover is already in them, so a changed holdover_ms changes nothing here. Which gestures
// are assigned is an argument (in the device it follows the mode). Times are those of the device's 1 ms
// ticks. Neighbours count with what they did then, and with the presses that the device accepted under their
// own rules.

#include <array>
#include <cstdint>
#include <span>
#include <vector>

#include "core/engine/press.hpp"
#include "core/trace/roll.hpp"

namespace fettle::measure {

/// A change of the input's level. at_us ascending.
struct LevelChange {
    std::int64_t at_us = 0;
    bool is_down = false;
    bool is_unknown =
        false;               ///< a gap begins: everything is let go, and nothing counts until the next change
    bool is_let_go = false;  ///< what is down is not heard until really up: everything was released, another
                             ///< variant was loaded, or its beginning was not seen
    bool is_by_itself = false;  ///< with is_let_go: an accepted press of this input let go of everything
    bool operator==(const LevelChange&) const = default;
};

/// What another input did that the rules look at: going down ends a debounce, being accepted guards.
struct Neighbour {
    enum class Did : std::uint8_t { went_down, was_accepted, went_up };
    std::int64_t at_us = 0;
    std::uint8_t input = 0;
    Did did = Did::went_down;
    bool operator==(const Neighbour&) const = default;
};

struct WhatIf {
    std::uint32_t accepted = 0;
    std::uint32_t too_short = 0, bounced = 0, refractory = 0, guarded = 0;
    std::uint32_t bridged = 0;      ///< gaps closed: releases joined to the press before
    std::uint32_t hold_limits = 0;  ///< presses that the longest hold ended
    std::uint32_t short_presses = 0, long_presses = 0, double_presses = 0;
    std::uint32_t cut_off =
        0;  ///< accepted presses whose end was not seen (gap, end): no gesture may be known
    std::uint32_t dropped() const { return too_short + bounced + refractory + guarded; }
    bool operator==(const WhatIf&) const = default;
};

/// An outcome with its time, in order: for marks on a time line.
struct WhatIfOutcome {
    std::int64_t at_us = 0;
    engine::PressOutcome outcome = engine::PressOutcome::accepted;
    bool operator==(const WhatIfOutcome&) const = default;
};

/// What is replayed, gathered once; what_if() may then be asked as often as a line is dragged.
struct RecordedLevels {
    std::uint8_t input = 0;
    std::vector<LevelChange> changes;                              ///< of the input
    std::vector<Neighbour> neighbours;                             ///< of all others, at_us ascending
    std::array<std::uint16_t, engine::k_max_inputs> bridges_ms{};  ///< by input: of the neighbours
    std::int64_t end_us = 0;  ///< the last time at which the level is known
};
/// rules: by input, as the device ran them; of the neighbours only bridge_ms is looked at (a gap that is
/// closed is no new press, and ends no debounce). Without them neighbours close no gaps.
RecordedLevels recorded_levels(const trace::Roll& roll, std::uint8_t input,
                               std::int64_t from_us = -trace::k_farthest_us,
                               std::int64_t to_us = trace::k_farthest_us + 1,
                               std::span<const engine::RuleDef> rules = {});

/// has: engine::k_has_long | engine::k_has_double, what is assigned to the input. Cost: the ms while the
/// input is down or not idle, not the length of the recording. outcomes: filled where given.
WhatIf what_if(const RecordedLevels& levels, const engine::RuleDef& rule, std::uint8_t has,
               std::vector<WhatIfOutcome>* outcomes = nullptr);

}  // namespace fettle::measure
