#include "app/views/presses_times_data.hpp"

#include <algorithm>
#include <span>
#include <utility>

#include "core/profile/records.hpp"

namespace fettle::app {

namespace {

using measure::Span;

// Own choices: from the shortest level that a device tells to what is no press any more; a bin is a fifth of
// the time before it.
constexpr std::int64_t k_least_us = 1000, k_most_us = 60'000'000;
constexpr std::size_t k_bins = 60;
constexpr std::size_t k_most_events =
    300'000;  // own choice: ten thousand presses or so, counted in some 30 ms

measure::Summary whole_ms(std::span<const Span> spans) {
    std::vector<double> values;
    for (const Span& one : spans)
        if (!one.is_censored) values.push_back(static_cast<double>(one.long_us) / 1000);
    return measure::summarize(values);
}

std::size_t cut(std::span<const Span> spans) {
    return static_cast<std::size_t>(
        std::count_if(spans.begin(), spans.end(), [](const Span& one) { return one.is_censored; }));
}

/// Long and double, in any mode.
std::uint8_t assigned_to(const profile::Profile& profile, const std::string& input) {
    std::uint8_t has = 0;
    for (const profile::Mode& mode : profile.modes)
        for (const profile::Assignment& one : mode.assignments) {
            if (one.input != input) continue;
            if (one.long_press) has |= engine::k_has_long;
            if (one.double_press) has |= engine::k_has_double;
        }
    return has;
}

}  // namespace

std::vector<std::uint8_t> times_inputs(const Desk& desk) {
    std::vector<std::uint8_t> all;
    for (std::uint8_t i = 0; i < engine::k_max_inputs; ++i)
        if (i < desk.shown_names().inputs.size() ||
            desk.shown_roll().has_anything({trace::LaneKind::level, i}))
            all.push_back(i);
    return all;
}

TimesInput times_input(const Desk& desk, std::uint8_t number) {
    const profile::Profile& profile = desk.editing.profile;
    const auto& names = desk.shown_names().inputs;
    TimesInput found;
    found.number = number;
    if (number < names.size()) {
        found.input = profile::find_named(profile.inputs, names[number]);
    } else if (names.empty() && number < profile.inputs.size()) {
        found.input = &profile.inputs[number];
        found.by_number = true;
    }
    if (found.input == nullptr) return found;
    found.rules = profile::find_named(profile.rule_sets, found.input->rules);
    found.has = assigned_to(profile, found.input->name);
    return found;
}

int& value_of(profile::RuleSet& rules, TimesRule rule) {
    switch (rule) {
        case TimesRule::acceptance: return rules.acceptance_ms;
        case TimesRule::long_press: return rules.long_ms;
        case TimesRule::debounce: return rules.debounce_ms;
        case TimesRule::bridge: return rules.bridge_ms;
        case TimesRule::double_press: return rules.double_ms;
        case TimesRule::refractory: break;
    }
    return rules.refractory_ms;
}

profile::RuleSet moved_rules(const profile::RuleSet& rules, const TimesState& state) {
    profile::RuleSet moved = rules;
    for (std::size_t i = 0; i < k_times_rules; ++i)
        if (state.moved[i]) value_of(moved, static_cast<TimesRule>(i)) = *state.moved[i];
    return moved;
}

std::uint8_t gestures_under(const profile::RuleSet& rules, std::uint8_t assigned) {
    std::uint8_t has = 0;
    if (rules.long_ms > 0) has |= assigned & engine::k_has_long;
    if (rules.double_ms > 0) has |= assigned & engine::k_has_double;
    return has;
}

std::vector<Span> times_apart(const measure::PressTimes& times) {
    std::vector<Span> apart;
    std::size_t press = 0;
    for (const Span& gap : times.gaps) {
        if (gap.is_censored) continue;
        while (press < times.presses.size() &&
               times.presses[press].from_us + times.presses[press].long_us < gap.from_us)
            ++press;
        if (press == times.presses.size()) break;
        const Span& before = times.presses[press];
        if (before.is_censored || before.from_us + before.long_us != gap.from_us) continue;
        apart.push_back({before.from_us, before.long_us + gap.long_us, false});
    }
    return apart;
}

std::vector<engine::RuleDef> device_rules(const Desk& desk) {
    const profile::Profile& runs = desk.editing.on_device ? *desk.editing.on_device : desk.editing.profile;
    std::vector<engine::RuleDef> rules;
    for (const std::string& name : desk.shown_names().inputs) {
        const profile::Input* input = profile::find_named(runs.inputs, name);
        const profile::RuleSet* its =
            input == nullptr ? nullptr : profile::find_named(runs.rule_sets, input->rules);
        rules.push_back(its == nullptr ? engine::RuleDef{} : profile::rule_def(*its));
    }
    return rules;
}

void gather(TimesState& state, const Desk& desk, std::uint8_t input, std::int64_t now_ms) {
    const trace::Roll& roll = desk.shown_roll();
    TimesGathered& all = state.gathered;
    const bool is_due = all.seen.is_due(roll, now_ms);
    if (!is_due && all.input == input && all.version > 0) return;
    const bool is_long = roll.size() > k_most_events;
    all.from_us = is_long ? roll.at(roll.size() - k_most_events).at_us : -trace::k_farthest_us;
    const measure::PressTimes times = measure::press_times(roll, input, all.from_us);
    const measure::Bins bins = measure::log_bins(k_least_us, k_most_us, k_bins);
    all.input = input;
    ++all.version;
    all.levels =
        measure::recorded_levels(roll, input, all.from_us, trace::k_farthest_us + 1, device_rules(desk));
    all.histograms = {measure::histogram(times.presses, bins), measure::histogram(times.gaps, bins),
                      measure::histogram(times_apart(times), bins)};
    all.held_ms = whole_ms(times.presses);
    all.gap_ms = whole_ms(times.gaps);
    all.cut = cut(times.presses) + cut(times.gaps);
}

const measure::WhatIf& count(TimesCounted& counted, const TimesGathered& gathered,
                             const profile::RuleSet& rules, std::uint8_t assigned) {
    const std::uint8_t has = gestures_under(rules, assigned);
    if (counted.rules == rules && counted.has == has && counted.version == gathered.version)
        return counted.counts;
    counted = {rules, has, gathered.version, {}};
    counted.counts = measure::what_if(gathered.levels, profile::rule_def(rules), has);
    return counted.counts;
}

}  // namespace fettle::app
