#include "core/link/clock_map.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace fettle::link {

namespace {

constexpr std::size_t k_samples_most = 64;
constexpr std::int64_t k_span_us = 10ll * 60 * 1000000;  // temperature changes drift: not for ever
constexpr double k_million = 1e6;
constexpr double k_slope_most = ClockMap::k_drift_most_ppm / k_million;
constexpr double k_known_ppm = 100;
constexpr double k_boundless = std::numeric_limits<double>::infinity();
constexpr int k_left_out_most = 3;
// Both clocks are read in whole us, cut off.
constexpr std::int64_t k_grain_us = 1;
// 36,000 years: no clock, and no sum of two overflows.
constexpr std::int64_t k_time_most_us = std::int64_t{1} << 60;

std::int64_t delay_us(const RoundTrip& s) {
    return (s.host_received_us - s.host_sent_us) - (s.device_sent_us - s.device_received_us);
}

/// It was sent before the device took it: the offset at device_received_us is no less.
std::int64_t least_offset_us(const RoundTrip& s) {
    return s.host_sent_us - s.device_received_us - k_grain_us;
}

/// It was received after the device sent it: the offset at device_sent_us is no more.
std::int64_t most_offset_us(const RoundTrip& s) {
    return s.host_received_us - s.device_sent_us + k_grain_us;
}

bool is_time(std::int64_t us) {
    return us >= -k_time_most_us && us <= k_time_most_us;
}

bool is_whole(const RoundTrip& s) {
    return is_time(s.host_sent_us) && is_time(s.host_received_us) && is_time(s.device_received_us) &&
           is_time(s.device_sent_us) && s.device_sent_us >= s.device_received_us && delay_us(s) >= 0;
}

bool follows(const RoundTrip& before, const RoundTrip& s) {
    return s.host_sent_us >= before.host_received_us && s.device_received_us >= before.device_sent_us;
}

}  // namespace

void ClockMap::reset() {
    *this = ClockMap{};
}

void ClockMap::add(const RoundTrip& sample) {
    if (!is_whole(sample)) {
        if (++left_out_ >= k_left_out_most) reset();
        return;
    }
    if (!window_.empty() && !follows(window_.back(), sample)) {
        if (++left_out_ < k_left_out_most) return;
        window_.clear();
    }
    left_out_ = 0;
    window_.push_back(sample);
    std::erase_if(window_, [&](const RoundTrip& s) {
        return sample.device_received_us - s.device_received_us > k_span_us;
    });
    if (window_.size() > k_samples_most) thin_out();
    is_settled_ = false;
}

/// Of each two neighbours in the older half the one with less delay stays.
void ClockMap::thin_out() {
    std::vector<RoundTrip> kept;
    const std::size_t half = window_.size() / 2 / 2 * 2;
    for (std::size_t i = 0; i < half; i += 2)
        kept.push_back(delay_us(window_[i]) <= delay_us(window_[i + 1]) ? window_[i] : window_[i + 1]);
    kept.insert(kept.end(), window_.begin() + static_cast<std::ptrdiff_t>(half), window_.end());
    window_ = std::move(kept);
}

/// Of all lines that go above each least offset and below each most one: the flattest and the steepest.
ClockMap::Slope ClockMap::slope() const {
    Slope all{-k_slope_most, k_slope_most};
    for (const RoundTrip& low : window_)
        for (const RoundTrip& high : window_) {
            const std::int64_t between_us = high.device_sent_us - low.device_received_us;
            const std::int64_t room_us = most_offset_us(high) - least_offset_us(low);
            if (between_us == 0) {
                if (room_us < 0) return {1, -1};
                continue;
            }
            const double bound = static_cast<double>(room_us) / static_cast<double>(between_us);
            if (between_us > 0)
                all.most = std::min(all.most, bound);
            else
                all.least = std::max(all.least, bound);
        }
    return all;
}

/// Works out what the window says. Samples that do not go with the newest are of another time: dropped.
void ClockMap::settle() const {
    if (is_settled_) return;
    is_settled_ = true;
    slope_ = slope();
    while (!slope_.is_possible() && window_.size() > 1) {
        window_.erase(window_.begin());
        slope_ = slope();
    }
    if (!slope_.is_possible()) slope_ = {-k_slope_most, k_slope_most};  // rounding, of one sample
    // In us beside a bound of the newest sample: small numbers, so that doubles lose nothing.
    const RoundTrip& newest = window_.back();
    const std::int64_t at_us = newest.device_sent_us, base_us = most_offset_us(newest);
    double least = -k_boundless, most = k_boundless;
    for (const RoundTrip& s : window_) {
        const auto since_low = static_cast<double>(at_us - s.device_received_us);
        const auto since_high = static_cast<double>(at_us - s.device_sent_us);
        least = std::max(least, static_cast<double>(least_offset_us(s) - base_us) + slope_.least * since_low);
        most = std::min(most, static_cast<double>(most_offset_us(s) - base_us) + slope_.most * since_high);
    }
    const double middle = (least + most) / 2;
    offset_us_ = base_us + std::llround(middle);
    error_us_ = std::max(0.0, most - least) / 2 + 0.5;  // 0.5: the offset is whole
}

std::optional<ClockFigures> ClockMap::figures() const {
    if (window_.empty()) return std::nullopt;
    settle();
    ClockFigures figures;
    figures.offset_us = offset_us_;
    figures.drift_error_ppm = (slope_.most - slope_.least) / 2 * k_million;
    figures.is_drift_known = figures.drift_error_ppm <= k_known_ppm;
    // The offset shrinks where the device runs faster: rate 1 / (1 + slope).
    if (figures.is_drift_known) figures.drift_ppm = (1 / (1 + slope_.middle()) - 1) * k_million;
    figures.error_us = error_us_;
    figures.samples = static_cast<int>(window_.size());
    return figures;
}

std::optional<std::int64_t> ClockMap::host_us(std::int64_t device_us) const {
    if (window_.empty() || !is_time(device_us)) return std::nullopt;
    settle();
    const auto since_us = static_cast<double>(device_us - window_.back().device_sent_us);
    return device_us + offset_us_ + std::llround(slope_.middle() * since_us);
}

}  // namespace fettle::link
