#include "app/desk/pointer_meter.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

namespace fettle::app {

namespace {

/// Linear between the order statistics (R. J. Hyndman, Y. Fan, "Sample Quantiles in Statistical Packages",
/// The American Statistician 50, 1996, definition 7; cited from memory). values: sorted, not empty.
double quantile(const std::vector<double>& values, double share) {
    const double place = share * static_cast<double>(values.size() - 1);
    const auto below = static_cast<std::size_t>(place);
    const std::size_t above = std::min(below + 1, values.size() - 1);
    return values[below] + (values[above] - values[below]) * (place - static_cast<double>(below));
}

std::vector<double> sorted(std::vector<double> values) {
    std::sort(values.begin(), values.end());
    return values;
}

struct Thirds {
    double slow_speed = 0, slow_ratio = 0, fast_speed = 0, fast_ratio = 0;
};

Thirds thirds(std::vector<PointerMove> moves) {
    std::sort(moves.begin(), moves.end(),
              [](const auto& a, const auto& b) { return a.counts_per_s < b.counts_per_s; });
    const std::size_t third = std::max<std::size_t>(1, moves.size() / 3);
    std::vector<double> values[4];
    for (std::size_t i = 0; i < third; ++i) {
        const PointerMove& slow = moves[i];
        const PointerMove& fast = moves[moves.size() - 1 - i];
        values[0].push_back(slow.counts_per_s);
        values[1].push_back(slow.pixels_per_count);
        values[2].push_back(fast.counts_per_s);
        values[3].push_back(fast.pixels_per_count);
    }
    return {quantile(sorted(values[0]), 0.5), quantile(sorted(values[1]), 0.5),
            quantile(sorted(values[2]), 0.5), quantile(sorted(values[3]), 0.5)};
}

/// Kendall's S: pairs in the same order less pairs in the opposite one.
double kendall_s(const std::deque<PointerMove>& moves) {
    double s = 0;
    for (std::size_t a = 0; a < moves.size(); ++a)
        for (std::size_t b = a + 1; b < moves.size(); ++b) {
            const double way = (moves[b].counts_per_s - moves[a].counts_per_s) *
                               (moves[b].pixels_per_count - moves[a].pixels_per_count);
            s += way > 0 ? 1 : way < 0 ? -1 : 0;
        }
    return s;
}

constexpr std::int64_t k_frame_us = 17000;  // a window draws 60 times a second
constexpr double k_one_percent = 2.5758;    // of the normal distribution, two-sided

}  // namespace

void PointerMeter::clear() {
    *this = {};
}

void PointerMeter::finish() {
    const double took_us = static_cast<double>(last_count_us_ - began_us_);
    if (counts_ >= k_least_counts && pixels_ > 0 && took_us > 0) {
        if (touched_edge_)
            ++at_edge_;
        else
            moves_.push_back({counts_ * 1e6 / took_us, pixels_ / counts_});
    } else if (counts_ >= k_least_counts && touched_edge_) {
        ++at_edge_;
    }
    if (moves_.size() > k_most_moves) moves_.pop_front();
    is_moving_ = touched_edge_ = false;
    counts_ = pixels_ = 0;
}

void PointerMeter::put(const PointerStep& step) {
    const bool is_any = step.counts > 0 || step.pixels > 0;
    const std::int64_t before_us = has_time_ ? before_us_ : step.at_us;
    const bool is_first = !has_time_;
    has_time_ = true;
    before_us_ = step.at_us;
    if (is_moving_ && step.at_us - last_us_ >= k_rest_us) finish();
    if (!is_any || is_first) return;  // the first one began before it was looked at
    if (!is_moving_) {
        is_moving_ = true;
        // A window at rest draws seldom: then the frame before says nothing of when the move began.
        began_us_ = std::max(before_us, step.at_us - k_frame_us);
        last_count_us_ = began_us_;
    }
    counts_ += step.counts;
    pixels_ += step.pixels;
    touched_edge_ = touched_edge_ || step.is_at_edge;
    last_us_ = step.at_us;
    if (step.counts > 0) last_count_us_ = step.at_us;
}

std::optional<PointerAnswer> PointerMeter::answer() const {
    if (moves_.size() < k_enough_moves) return std::nullopt;
    std::vector<double> ratios;
    for (const PointerMove& move : moves_) ratios.push_back(move.pixels_per_count);
    ratios = sorted(std::move(ratios));
    PointerAnswer answer;
    answer.moves = moves_.size();
    answer.ratio = quantile(ratios, 0.5);
    answer.low = quantile(ratios, 0.25);
    answer.high = quantile(ratios, 0.75);
    const Thirds t = thirds({moves_.begin(), moves_.end()});
    answer.slow_counts_per_s = t.slow_speed;
    answer.slow_ratio = t.slow_ratio;
    answer.fast_counts_per_s = t.fast_speed;
    answer.fast_ratio = t.fast_ratio;
    const double n = static_cast<double>(moves_.size());
    const double s = kendall_s(moves_);
    answer.tau = s / (n * (n - 1) / 2);
    const double z = s / std::sqrt(n * (n - 1) * (2 * n + 5) / 18);
    using enum PointerAnswer::BySpeed;
    if (t.fast_speed < k_speeds_apart * t.slow_speed) return answer;
    const double apart = std::max(t.fast_ratio, t.slow_ratio) / std::min(t.fast_ratio, t.slow_ratio);
    answer.by_speed = std::abs(z) >= k_one_percent && apart >= k_ratios_apart ? yes : no;
    return answer;
}

}  // namespace fettle::app
