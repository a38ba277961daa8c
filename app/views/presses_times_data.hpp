#pragma once
// What stands behind the histograms of press times: which rules judge an input, what is gathered from a
// recording, what other rules would have made of it. Thread: the window's.

#include <cstdint>
#include <string>
#include <vector>

#include "app/desk/desk.hpp"
#include "app/views/presses_times_state.hpp"

namespace fettle::app {

/// An input of the recording, and the profile's rules for it. Pointers into the desk's profile; nullptr: the
/// profile on the screen does not know it.
struct TimesInput {
    std::uint8_t number = 0;
    const profile::Input* input = nullptr;
    const profile::RuleSet* rules = nullptr;
    bool by_number = false;  ///< the recording names no inputs: taken to be the profile's of that number
    std::uint8_t has = 0;    ///< engine::k_has_*: assigned to it in any mode, and not off
};

/// Of the recording that is shown: those with a name or with a level.
std::vector<std::uint8_t> times_inputs(const Desk& desk);
TimesInput times_input(const Desk& desk, std::uint8_t number);

int& value_of(profile::RuleSet& rules, TimesRule rule);
/// The rules with the lines as they were moved.
profile::RuleSet moved_rules(const profile::RuleSet& rules, const TimesState& state);
/// Gestures that can come of it: assigned, and not switched off by the rules.
std::uint8_t gestures_under(const profile::RuleSet& rules, std::uint8_t assigned);

/// By input of the recording: the rules that the device runs for it, as far as they are known.
std::vector<engine::RuleDef> device_rules(const Desk& desk);

/// Of what is shown. Anew when the recording or the input is another one; when it only grew, after a time
/// that is long against what gathering costs. now_ms: the window's clock.
void gather(TimesState& state, const Desk& desk, std::uint8_t input, std::int64_t now_ms);
/// From what was gathered; anew when anything changed.
const measure::WhatIf& count(TimesCounted& counted, const TimesGathered& gathered,
                             const profile::RuleSet& rules, std::uint8_t assigned);

/// From one press's beginning to the next one's, of whole times only.
std::vector<measure::Span> times_apart(const measure::PressTimes& times);

}  // namespace fettle::app
