#include "app/desk/paced_link.hpp"

#include <algorithm>

namespace fettle::app {

namespace {
constexpr std::int64_t k_us_a_ms = 1000;
constexpr std::int64_t k_most_behind_us = 5'000'000;
}  // namespace

std::uint32_t Pace::behind_ms(std::uint64_t simulated_us) {
    const auto simulated = static_cast<std::int64_t>(simulated_us);
    const std::int64_t real = clock_.monotonic_us();
    const std::int64_t behind_us = has_begun_ ? (real - real_us_) - (simulated - simulated_us_) : 0;
    if (!has_begun_ || behind_us > k_most_behind_us) {
        has_begun_ = true;
        real_us_ = real;
        simulated_us_ = simulated;
        return 0;
    }
    return static_cast<std::uint32_t>(std::max<std::int64_t>(behind_us, 0) / k_us_a_ms);
}

Result<std::optional<link::Message>> PacedLink::receive(std::uint32_t wait_ms) {
    const std::int64_t until_us = pace_->now_us() + wait_ms * k_us_a_ms;
    for (;;) {
        const bool is_behind = pace_->behind_ms(inner_->now_us()) != 0;
        auto got = inner_->receive(is_behind ? 1 : 0);
        if (!got || *got) return got;
        if (is_behind) continue;
        const std::int64_t left_us = until_us - pace_->now_us();
        if (left_us <= 0) return std::optional<link::Message>{};
        pace_->sleep(static_cast<std::uint32_t>((left_us + k_us_a_ms - 1) / k_us_a_ms));
    }
}

}  // namespace fettle::app
