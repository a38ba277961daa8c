#include "app/views/try_area.hpp"

#include <algorithm>
#include <cmath>

namespace fettle::app {

namespace {

constexpr double k_slow = 150, k_fast = 900, k_most_gain = 3;  // own choice
constexpr double k_least_gap_us = 1000, k_most_gap_us = 100000;

double length(double x, double y) {
    return std::hypot(x, y);
}

double sent(std::span<const PointerReport> reports) {
    double counts = 0;
    for (const PointerReport& report : reports) counts += length(report.dx, report.dy);
    return counts;
}

}  // namespace

double simulated_gain(double counts_per_s) {
    const double share = std::clamp((counts_per_s - k_slow) / (k_fast - k_slow), 0.0, 1.0);
    return 1 + (k_most_gain - 1) * share;
}

ui::Point TryArea::centre(TargetSize target, ui::Point size) {
    switch (target) {
        case TargetSize::large: return {size.x * 0.17f, size.y * 0.32f};
        case TargetSize::medium: return {size.x * 0.5f, size.y * 0.25f};
        case TargetSize::small: return {size.x * 0.83f, size.y * 0.32f};
    }
    return {};
}

void TryArea::set_size(ui::Point size) {
    if (!is_placed_ || size_ == ui::Point{0, 0}) pointer_ = {size.x * 0.5f, size.y * 0.75f};
    is_placed_ = true;
    size_ = size;
    pointer_.x = std::clamp(pointer_.x, 0.0f, size.x);
    pointer_.y = std::clamp(pointer_.y, 0.0f, size.y);
}

std::optional<TargetSize> TryArea::under() const {
    if (!is_seen_) return std::nullopt;
    for (std::size_t i = 0; i < k_targets; ++i) {
        const auto target = static_cast<TargetSize>(i);
        const ui::Point c = centre(target, size_);
        const auto apart =
            length(static_cast<double>(pointer_.x - c.x), static_cast<double>(pointer_.y - c.y));
        if (apart <= k_target_px[i] / 2.0) return target;
    }
    return std::nullopt;
}

void TryArea::press() {
    if (const auto target = under()) {
        ++hits_[static_cast<std::size_t>(*target)];
        new_hit_ = target;
    } else {
        ++misses_;
    }
}

PointerStep TryArea::follow(std::span<const PointerReport> reports, ui::Point size, bool is_accelerated) {
    set_size(size);
    is_seen_ = true;
    new_hit_.reset();
    last_real_.reset();
    PointerStep step;
    step.counts = sent(reports);
    for (const PointerReport& report : reports) {
        const double counts = length(report.dx, report.dy);
        if (counts > 0) {
            const double gap_us = last_report_us_ < 0
                                      ? k_most_gap_us
                                      : std::clamp(static_cast<double>(report.at_us - last_report_us_),
                                                   k_least_gap_us, k_most_gap_us);
            const double gain = is_accelerated ? simulated_gain(counts * 1e6 / gap_us) : 1;
            last_report_us_ = report.at_us;
            const ui::Point wanted{pointer_.x + static_cast<float>(report.dx * gain),
                                   pointer_.y + static_cast<float>(report.dy * gain)};
            const ui::Point now{std::clamp(wanted.x, 0.0f, size.x), std::clamp(wanted.y, 0.0f, size.y)};
            step.is_at_edge = step.is_at_edge || !(now == wanted);
            step.pixels +=
                length(static_cast<double>(now.x - pointer_.x), static_cast<double>(now.y - pointer_.y));
            pointer_ = now;
        }
        const bool is_down = (report.buttons & 1) != 0;
        if (is_down && !was_down_) press();
        was_down_ = is_down;
    }
    return step;
}

PointerStep TryArea::follow_real(std::span<const PointerReport> reports, std::optional<ui::Point> pointer,
                                 bool is_at_edge, bool is_down, ui::Point size) {
    set_size(size);
    new_hit_.reset();
    PointerStep step;
    step.counts = sent(reports);
    step.is_at_edge = is_at_edge || !pointer;
    if (pointer && last_real_)
        step.pixels = length(static_cast<double>(pointer->x - last_real_->x),
                             static_cast<double>(pointer->y - last_real_->y));
    last_real_ = pointer;
    const bool is_inside =
        pointer && pointer->x >= 0 && pointer->y >= 0 && pointer->x < size.x && pointer->y < size.y;
    is_seen_ = is_inside;
    if (is_inside) pointer_ = *pointer;
    if (is_down && !was_down_ && is_inside) press();
    was_down_ = is_down;
    return step;
}

void TryArea::reset() {
    hits_ = {};
    misses_ = 0;
    is_placed_ = false;
    new_hit_.reset();
}

}  // namespace fettle::app
