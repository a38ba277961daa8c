#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>

#include "app/views/presses_growing.hpp"
#include "app/views/presses_histogram.hpp"
#include "core/measure/press_times.hpp"
#include "core/measure/summary.hpp"
#include "core/measure/what_if.hpp"
#include "core/profile/model.hpp"

namespace fettle::app {

/// The rules that have a line on a histogram.
enum class TimesRule : std::uint8_t { acceptance, long_press, debounce, bridge, double_press, refractory };
inline constexpr std::size_t k_times_rules = 6;

/// held: down to up. gaps: up to down. apart: from one press's beginning to the next one's.
enum class TimesPicture : std::uint8_t { held, gaps, apart };
inline constexpr std::size_t k_times_pictures = 3;

/// What a recording says of one input: gathered once, as long as the recording did not grow.
struct TimesGathered {
    GrowingRoll seen;
    std::uint8_t input = 0;
    std::int64_t from_us =
        -trace::k_farthest_us;  ///< earlier is left out: more than can be counted in a frame
    measure::RecordedLevels levels;
    std::array<measure::Histogram, k_times_pictures> histograms;
    measure::Summary held_ms, gap_ms;  ///< of whole times
    std::size_t cut = 0;               ///< presses and gaps whose end was not seen
    std::uint32_t version = 0;         ///< of what was gathered
};

/// What these rules would have made of it.
struct TimesCounted {
    std::optional<profile::RuleSet> rules;
    std::uint8_t has = 0;
    std::uint32_t version = 0;
    measure::WhatIf counts;
};

struct TimesState {
    std::optional<std::uint8_t> input;  ///< of the recording
    TimesPicture picture = TimesPicture::held;
    std::string rules;  ///< rule set that `moved` belongs to
    std::array<std::optional<int>, k_times_rules>
        moved;  ///< ms, by TimesRule; nothing: as the profile has it
    std::array<HistogramState, k_times_pictures> hands;
    TimesGathered gathered;
    TimesCounted now, there;
};

}  // namespace fettle::app
