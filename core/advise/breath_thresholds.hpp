#pragma once
// Where sip and puff begin and end on a pressure tube, proposed from prompted breaths. Pure functions.
//
// No standard says how: the rules are our own and stand here. Pressures are permille of full deflection, puff
// positive, sip negative. The baseline is the median of the rest samples; all that follows is measured from
// it, in the breath's direction. A breath's peak is its highest sample. Of each direction:
//   soft on    half of the way from noise (the furthest that rest strays) to the weakest peak, soft off a
//              quarter of it
//   hard on    half of the way from the strongest soft peak to the weakest hard one, hard off a quarter:
//              still above every soft breath, so that going soft ends hard
//   held       the lowest sample between the first and the last of a breath that reach `on`: below `off` the
//              breath would count twice
// A direction without hard breaths gets soft thresholds only.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "core/advise/estimate.hpp"
#include "core/base/result.hpp"
#include "core/profile/model.hpp"

namespace fettle::advise {

enum class BreathKind : std::uint8_t { soft_sip, hard_sip, soft_puff, hard_puff };

/// One prompted breath. Samples in time order, at one rate for all.
struct Breath {
    BreathKind kind = BreathKind::soft_puff;
    std::vector<int> samples_permille;
};

inline constexpr std::size_t k_least_rest_samples = 50;
inline constexpr std::size_t k_least_breath_samples = 3;
inline constexpr std::size_t k_least_breaths = 2;  ///< of a kind, so that there is a spread
/// Between two thresholds, and from a threshold to what it parts: the device keeps 255 steps of deflection,
/// four permille each; below two of them rounding eats the distance.
inline constexpr int k_least_step_permille = 8;

/// on above off. margin_*: room left, none below k_least_step_permille.
struct Threshold {
    int on_permille = 0, off_permille = 0;
    int margin_below_permille = 0;  ///< from off down to what must let go (noise; the strongest soft peak)
    int margin_above_permille = 0;  ///< from on up to the weakest peak that must reach it
    int margin_held_permille = 0;   ///< from off up to the lowest sample of a held breath
    bool operator==(const Threshold&) const = default;
};

/// Why a direction has no thresholds. In the order in which they are looked for.
enum class BreathTrouble : std::uint8_t {
    none,
    too_few_samples,  ///< in a breath
    too_few_breaths,  ///< of the soft kind, or of the hard one where there is any
    lost_in_noise,    ///< the weakest peak is too near to what rest strays to
    hard_like_soft,   ///< the strongest soft peak reaches the weakest hard one, or nearly
    breaks_off,       ///< a breath falls through an off threshold while it is held
};

/// Peaks of one kind of breath, from the baseline in their direction. Unit: permille.
struct BreathFigures {
    Estimate peak;  ///< sd: n - 1; 0 with one breath
    int weakest = 0, strongest = 0;
};

/// One direction. `soft`, `hard` are set when trouble is none (hard: when there were hard breaths).
struct BreathAdvice {
    profile::AxisSide side = profile::AxisSide::positive;
    BreathTrouble trouble = BreathTrouble::none;
    BreathFigures soft_breaths, hard_breaths;
    std::optional<Threshold> soft, hard;
    /// Chances for the next breath, by the t prediction of distributions.hpp from peaks (n as in the
    /// figures): a soft one that reaches hard on; a hard one that does not; a soft one that does not reach
    /// soft on.
    std::optional<double> soft_taken_for_hard, hard_taken_for_soft, soft_missed;
};

/// A direction that nobody breathed in is nothing.
struct BreathThresholds {
    int baseline_permille = 0;
    int noise_permille = 0;  ///< furthest that rest strays from the baseline, to either side
    Estimate rest;           ///< of the rest samples; sd: n - 1
    std::optional<BreathAdvice> sip, puff;
};

/// Samples outside of -1000 to 1000 are no pressures. Errors: refused (fewer than k_least_rest_samples of
/// rest, or no breaths at all), out_of_range (a sample).
Result<BreathThresholds> breath_thresholds(std::span<const int> rest_permille,
                                           std::span<const Breath> breaths);

}  // namespace fettle::advise
