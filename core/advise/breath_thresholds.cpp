#include "core/advise/breath_thresholds.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include "core/advise/distributions.hpp"
#include "core/measure/summary.hpp"

namespace fettle::advise {

namespace {

constexpr int k_full_permille = 1000;

bool is_sip(BreathKind kind) {
    return kind == BreathKind::soft_sip || kind == BreathKind::hard_sip;
}

Estimate estimate_of(const std::vector<double>& values) {
    const measure::Summary summary = measure::summarize(values);
    return {summary.mean, summary.sd, summary.count};
}

/// Median, the lower one of two in the middle: a pressure that was really there.
int median_of(std::vector<int> values) {
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>((values.size() - 1) / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

Status in_range(std::span<const int> samples, const std::string& where) {
    for (const int sample : samples)
        if (sample < -k_full_permille || sample > k_full_permille)
            return fail(Errc::out_of_range, where,
                        std::to_string(sample) + ", allowed are -1000 to 1000 permille");
    return Done{};
}

/// All breaths of one kind, from the baseline in their direction.
struct Kind {
    std::vector<std::vector<int>> breaths;
    bool has_short_one = false;

    BreathFigures figures() const {
        BreathFigures all;
        std::vector<double> peaks;
        for (const auto& breath : breaths) peaks.push_back(*std::max_element(breath.begin(), breath.end()));
        if (peaks.empty()) return all;
        all.peak = estimate_of(peaks);
        all.weakest = static_cast<int>(*std::min_element(peaks.begin(), peaks.end()));
        all.strongest = static_cast<int>(*std::max_element(peaks.begin(), peaks.end()));
        return all;
    }

    /// The lowest sample between the first and the last that reach `on`, of all breaths.
    int lowest_held(int on) const {
        int lowest = 2 * k_full_permille;
        const auto is_up = [&](int sample) { return sample >= on; };
        for (const auto& breath : breaths) {
            const auto first = std::find_if(breath.begin(), breath.end(), is_up);
            const auto past = std::find_if(breath.rbegin(), breath.rend(), is_up).base();
            if (first != breath.end()) lowest = std::min(lowest, *std::min_element(first, past));
        }
        return lowest;
    }
};

Kind gathered(std::span<const Breath> breaths, BreathKind kind, int baseline) {
    Kind all;
    for (const Breath& breath : breaths) {
        if (breath.kind != kind) continue;
        if (breath.samples_permille.size() < k_least_breath_samples) {
            all.has_short_one = true;
            continue;
        }
        std::vector<int>& risen = all.breaths.emplace_back();
        for (const int sample : breath.samples_permille)
            risen.push_back(is_sip(kind) ? baseline - sample : sample - baseline);
    }
    return all;
}

/// Between what must stay below and what must stay above. Nothing where there is no room.
std::optional<Threshold> between(int below, int above) {
    Threshold threshold;
    threshold.off_permille = below + (above - below) / 4;
    threshold.on_permille = below + (above - below) / 2;
    threshold.margin_below_permille = threshold.off_permille - below;
    threshold.margin_above_permille = above - threshold.on_permille;
    const int hysteresis = threshold.on_permille - threshold.off_permille;
    const int least =
        std::min({hysteresis, threshold.margin_below_permille, threshold.margin_above_permille});
    if (least < k_least_step_permille) return std::nullopt;
    return threshold;
}

std::optional<double> chance_above(const Estimate& peak, int value) {
    return next_above(static_cast<std::size_t>(peak.count), peak.mean, peak.sd, value);
}
std::optional<double> chance_below(const Estimate& peak, int value) {
    const auto above = chance_above(peak, value);
    return above ? std::optional(1 - *above) : std::nullopt;
}

void weigh(BreathAdvice& advice) {
    advice.soft_missed = chance_below(advice.soft_breaths.peak, advice.soft->on_permille);
    if (!advice.hard) return;
    advice.soft_taken_for_hard = chance_above(advice.soft_breaths.peak, advice.hard->on_permille);
    advice.hard_taken_for_soft = chance_below(advice.hard_breaths.peak, advice.hard->on_permille);
}

/// False where a breath would count twice.
bool holds(Threshold& threshold, int lowest_held) {
    threshold.margin_held_permille = lowest_held - threshold.off_permille;
    return threshold.margin_held_permille >= k_least_step_permille;
}

BreathTrouble settle(BreathAdvice& advice, const Kind& soft, const Kind& hard, int noise) {
    const bool has_hard = !hard.breaths.empty();
    if (soft.has_short_one || hard.has_short_one) return BreathTrouble::too_few_samples;
    if (soft.breaths.size() < k_least_breaths || (has_hard && hard.breaths.size() < k_least_breaths))
        return BreathTrouble::too_few_breaths;
    const BreathFigures &low = advice.soft_breaths, &high = advice.hard_breaths;
    auto for_soft = between(noise, has_hard ? std::min(low.weakest, high.weakest) : low.weakest);
    if (!for_soft) return BreathTrouble::lost_in_noise;
    auto for_hard = has_hard ? between(low.strongest, high.weakest) : std::nullopt;
    if (has_hard && !for_hard) return BreathTrouble::hard_like_soft;
    const int on = for_soft->on_permille;
    if (!holds(*for_soft, std::min(soft.lowest_held(on), hard.lowest_held(on))))
        return BreathTrouble::breaks_off;
    if (for_hard && !holds(*for_hard, hard.lowest_held(for_hard->on_permille)))
        return BreathTrouble::breaks_off;
    advice.soft = for_soft;
    advice.hard = for_hard;
    weigh(advice);
    return BreathTrouble::none;
}

std::optional<BreathAdvice> advised(std::span<const Breath> breaths, bool is_for_sip, int baseline,
                                    int noise) {
    const auto goes_here = [&](const Breath& breath) { return is_sip(breath.kind) == is_for_sip; };
    if (std::none_of(breaths.begin(), breaths.end(), goes_here)) return std::nullopt;
    const Kind soft = gathered(breaths, is_for_sip ? BreathKind::soft_sip : BreathKind::soft_puff, baseline);
    const Kind hard = gathered(breaths, is_for_sip ? BreathKind::hard_sip : BreathKind::hard_puff, baseline);
    BreathAdvice advice;
    advice.side = is_for_sip ? profile::AxisSide::negative : profile::AxisSide::positive;
    advice.soft_breaths = soft.figures();
    advice.hard_breaths = hard.figures();
    advice.trouble = settle(advice, soft, hard, noise);
    return advice;
}

}  // namespace

Result<BreathThresholds> breath_thresholds(std::span<const int> rest_permille,
                                           std::span<const Breath> breaths) {
    if (rest_permille.size() < k_least_rest_samples)
        return fail(Errc::refused, "rest",
                    std::to_string(rest_permille.size()) + " samples, needed are " +
                        std::to_string(k_least_rest_samples));
    if (breaths.empty()) return fail(Errc::refused, "breaths", "none");
    if (const Status good = in_range(rest_permille, "rest"); !good) return good.failure();
    for (std::size_t i = 0; i < breaths.size(); ++i)
        if (const Status good = in_range(breaths[i].samples_permille, "breaths/" + std::to_string(i)); !good)
            return good.failure();
    BreathThresholds found;
    found.baseline_permille = median_of({rest_permille.begin(), rest_permille.end()});
    for (const int sample : rest_permille)
        found.noise_permille = std::max(found.noise_permille, std::abs(sample - found.baseline_permille));
    found.rest = estimate_of({rest_permille.begin(), rest_permille.end()});
    found.sip = advised(breaths, true, found.baseline_permille, found.noise_permille);
    found.puff = advised(breaths, false, found.baseline_permille, found.noise_permille);
    return found;
}

}  // namespace fettle::advise
