#include "core/advise/scan_period.hpp"

#include <algorithm>
#include <cmath>
#include <string>

namespace fettle::advise {

namespace {

constexpr double k_least_share = .0001, k_most_share = .5;

Status usable(const measure::Summary& presses) {
    if (presses.count < k_least_presses)
        return fail(Errc::refused, "presses",
                    std::to_string(presses.count) + ", needed are " + std::to_string(k_least_presses));
    if (!std::isfinite(presses.mean) || !(presses.mean > 0))
        return fail(Errc::out_of_range, "mean", "a press time must be above 0");
    if (!std::isfinite(presses.sd) || presses.sd < 0)
        return fail(Errc::out_of_range, "sd", "a deviation must not be below 0");
    return Done{};
}

/// factor: what the period grows by with each ms of the mean.
ScanPeriod proposal(const measure::Summary& presses, double period_ms, double factor) {
    ScanPeriod found;
    found.presses = presses;
    found.period_ms = period_ms;
    // There are enough presses for an interval: usable() saw to it.
    const double half = mean_half_width(presses.count, presses.sd, k_confidence).value_or(0) * factor;
    found.low_ms = period_ms - half;
    found.high_ms = period_ms + half;
    found.missed_normal = share_above(Spread::normal, presses.mean, presses.sd, period_ms);
    found.missed_log_normal = share_above(Spread::log_normal, presses.mean, presses.sd, period_ms);
    found.period_for_two_sd_ms = presses.mean + 2 * presses.sd;
    return found;
}

}  // namespace

Result<ScanPeriod> scan_period(const measure::Summary& presses) {
    if (const Status good = usable(presses); !good) return good.failure();
    return proposal(presses, presses.mean / k_press_share_of_period, 1 / k_press_share_of_period);
}

Result<ScanPeriod> scan_period_for_misses(const measure::Summary& presses, double missed_share,
                                          Spread spread) {
    if (const Status good = usable(presses); !good) return good.failure();
    if (!(missed_share >= k_least_share && missed_share <= k_most_share))
        return fail(Errc::out_of_range, "missed_share", "allowed are 0.0001 to 0.5");
    return proposal(presses, value_below_share(spread, presses.mean, presses.sd, missed_share), 1);
}

CountedShare presses_later_than(std::span<const double> press_ms, double period_ms) {
    const auto late =
        std::count_if(press_ms.begin(), press_ms.end(), [&](double time) { return time > period_ms; });
    return counted_share(static_cast<std::size_t>(late), press_ms.size(), k_confidence);
}

}  // namespace fettle::advise
