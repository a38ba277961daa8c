#include "core/measure/press_times.hpp"

#include <algorithm>
#include <cmath>

#include "core/measure/level_times.hpp"

namespace fettle::measure {

namespace {

constexpr std::size_t k_most_bins = 10000;

/// Which time is running: that of a press or of a gap, if its beginning was seen.
class Timing {
public:
    explicit Timing(PressTimes& to) : to_(to) {}

    void hear(LevelNews news, std::int64_t us) {
        switch (news) {
            case LevelNews::went_down: return turn(Running::press, us);
            case LevelNews::went_up: return turn(Running::gap, us);
            case LevelNews::gap:
                end(us, true);
                running_ = Running::nothing;
                return;
            case LevelNews::hold_limit:
                if (running_ != Running::press) return;
                end(us, true);
                running_ = Running::nothing;
                return;
            case LevelNews::is_down:
            case LevelNews::is_up:
            case LevelNews::let_go: return;
        }
    }
    void end(std::int64_t us, bool is_censored) {
        const Span span{from_us_, std::max<std::int64_t>(us - from_us_, 0), is_censored};
        if (running_ == Running::press) to_.presses.push_back(span);
        if (running_ == Running::gap) to_.gaps.push_back(span);
    }

private:
    enum class Running { nothing, press, gap };

    void turn(Running now, std::int64_t us) {
        end(us, false);
        running_ = now;
        from_us_ = us;
    }

    PressTimes& to_;
    Running running_ = Running::nothing;
    std::int64_t from_us_ = 0;
};

}  // namespace

PressTimes press_times(const trace::Roll& roll, std::uint8_t input, std::int64_t from_us,
                       std::int64_t to_us) {
    PressTimes times;
    Timing timing(times);
    const std::int64_t end_us = for_level(roll, input, from_us, to_us,
                                          [&](LevelNews news, std::int64_t us) { timing.hear(news, us); });
    timing.end(end_us, true);
    return times;
}

PressTimes press_times(const trace::Recording& recording, std::uint8_t input) {
    return press_times(trace::roll_of(recording), input);
}

Bins linear_bins(std::int64_t least_us, std::int64_t width_us, std::size_t count) {
    Bins bins;
    if (width_us < 1 || count < 1 || count > k_most_bins) return bins;
    const auto bins_wide = static_cast<std::int64_t>(count);
    if (std::abs(least_us) > trace::k_farthest_us || width_us > trace::k_farthest_us / bins_wide) return bins;
    for (std::int64_t i = 0; i <= bins_wide; ++i) bins.edges_us.push_back(least_us + i * width_us);
    return bins;
}

Bins log_bins(std::int64_t least_us, std::int64_t most_us, std::size_t count) {
    Bins bins;
    if (least_us < 1 || most_us <= least_us || most_us > trace::k_farthest_us || count < 1 ||
        count > k_most_bins)
        return bins;
    const double ratio = static_cast<double>(most_us) / static_cast<double>(least_us);
    for (std::size_t i = 0; i <= count; ++i) {
        const double part = static_cast<double>(i) / static_cast<double>(count);
        const std::int64_t edge_us =
            i == count ? most_us : std::llround(static_cast<double>(least_us) * std::pow(ratio, part));
        if (bins.edges_us.empty() || edge_us > bins.edges_us.back()) bins.edges_us.push_back(edge_us);
    }
    return bins;
}

Histogram histogram(std::span<const Span> spans, const Bins& bins) {
    Histogram made;
    if (bins.edges_us.size() < 2) {
        made.over = static_cast<std::uint32_t>(spans.size());
        return made;
    }
    made.edges_us = bins.edges_us;
    made.counts.resize(bins.edges_us.size() - 1);
    made.censored.resize(bins.edges_us.size() - 1);
    for (const Span& span : spans) {
        const auto past = std::upper_bound(made.edges_us.begin(), made.edges_us.end(), span.long_us);
        if (past == made.edges_us.begin()) {
            ++made.under;
        } else if (past == made.edges_us.end()) {
            ++made.over;
        } else {
            const auto bin = static_cast<std::size_t>(past - made.edges_us.begin() - 1);
            ++(span.is_censored ? made.censored : made.counts)[bin];
        }
    }
    return made;
}

}  // namespace fettle::measure
