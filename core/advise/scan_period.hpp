#pragma once
// How long a scan should offer each item, from measured press times. Pure functions.
//
// R. C. Simpson, H. H. Koester, E. F. LoPresti, "Selecting an appropriate scan rate: the '.65 rule'", Proc.
// RESNA 2006; Assistive Technology 19, 2007, doi 10.1080/10400435.2007.10131865: period = mean press time /
// .65, which for many people is about mean + 2 SD; with the distribution known, a period can be chosen for a
// wanted share of errors. A press time here is the time from an item's being offered to the switch's going
// down, not how long the switch is held.

#include <cstddef>
#include <span>

#include "core/advise/distributions.hpp"
#include "core/base/result.hpp"
#include "core/measure/summary.hpp"

namespace fettle::advise {

inline constexpr double k_press_share_of_period = .65;
/// Fewer say too little: with 20 presses of the usual spread (SD a quarter of the mean) the period is known
/// to about 12 % (95 % interval). Our own choice.
inline constexpr std::size_t k_least_presses = 20;
inline constexpr double k_confidence = .95;

/// A proposal, with what it rests on.
struct ScanPeriod {
    double period_ms = 0;
    double low_ms = 0, high_ms = 0;   ///< the period for either end of the mean's 95 % interval (Student's t)
    double missed_normal = 0;         ///< share of items that pass before the press, if times are normal
    double missed_log_normal = 0;     ///< the same if they are log-normal
    double period_for_two_sd_ms = 0;  ///< mean + 2 SD: where it is far off, the person's spread is unusual
    measure::Summary presses;         ///< ms
};

/// By the .65 rule. presses: in ms, as measure::summarize gives them; mean, sd and count are looked at.
/// Errors: refused (fewer than k_least_presses), out_of_range (mean not above 0, sd below 0, not finite).
Result<ScanPeriod> scan_period(const measure::Summary& presses);

/// The period at which this share of items is missed, if press times are spread so. low_ms, high_ms: for
/// either end of the mean's interval, the spread taken as measured.
/// missed_share: .0001 to .5. Errors: as above; out_of_range for the share.
Result<ScanPeriod> scan_period_for_misses(const measure::Summary& presses, double missed_share,
                                          Spread spread);

/// What the person's own presses would have missed with this period: counted, no distribution assumed.
CountedShare presses_later_than(std::span<const double> press_ms, double period_ms);

}  // namespace fettle::advise
