#include "core/trace/motion_list.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace fettle::trace {

namespace {

constexpr std::int64_t k_fastest = 65535;

/// Unit: counts a second. dx and dy fit 16 bits, so the sum of squares is exact.
std::uint16_t speed_of(std::int16_t dx, std::int16_t dy, std::int64_t in_us) {
    const double counts = std::sqrt(static_cast<double>(dx) * dx + static_cast<double>(dy) * dy);
    const double us = static_cast<double>(std::clamp<std::int64_t>(in_us, 1, k_speed_rest_us));
    const double speed = counts * 1e6 / us;
    if (speed >= static_cast<double>(k_fastest)) return static_cast<std::uint16_t>(k_fastest);
    return static_cast<std::uint16_t>(std::lround(speed));
}

std::int16_t low(std::uint32_t step) {
    return static_cast<std::int16_t>(step & 0xFFFF);
}
std::int16_t high(std::uint32_t step) {
    return static_cast<std::int16_t>(step >> 16);
}

}  // namespace

void MotionList::Range::add(std::int64_t value) {
    least = std::min(least, value);
    most = std::max(most, value);
}

void MotionList::Range::add(const Range& other) {
    least = std::min(least, other.least);
    most = std::max(most, other.most);
}

void MotionList::put(std::int64_t us, std::int16_t dx, std::int16_t dy) {
    std::int64_t since_us = k_speed_rest_us;
    if (!stamps_.is_empty()) {
        const std::int64_t before_us = stamp_us(stamps_.last());
        us = std::max(us, before_us);
        since_us = us - before_us;
        if (since_us > k_speed_rest_us && stamp_value(stamps_.last()) != 0)
            push(before_us + k_speed_rest_us, 0, 0, 0);
    }
    push(us, speed_of(dx, dy, since_us), dx, dy);
}

void MotionList::push(std::int64_t us, std::uint16_t speed, std::int16_t dx, std::int16_t dy) {
    stamps_.push(stamp(us, speed));
    steps_.push(static_cast<std::uint16_t>(dx) | static_cast<std::uint32_t>(static_cast<std::uint16_t>(dy))
                                                     << 16);
    x_ += dx;
    y_ += dy;
    std::size_t count = stamps_.size();
    for (std::size_t level = 0; count % k_pyramid_step == 0; ++level) {
        count /= k_pyramid_step;
        const Node node = level == 0 ? node_of_samples(count - 1) : node_of_nodes(level, count - 1);
        if (level == levels_.size()) levels_.emplace_back();
        levels_[level].push(node);
    }
}

/// The last 16 samples: the sums after them are the present ones.
MotionList::Node MotionList::node_of_samples(std::size_t node) const {
    Node made{{x_, x_}, {y_, y_}, x_, y_, 0xFFFF, 0};
    std::int64_t x = x_, y = y_;
    for (std::size_t i = (node + 1) * k_pyramid_step; i-- > node * k_pyramid_step;) {
        made.x.add(x);
        made.y.add(y);
        x -= low(steps_[i]);
        y -= high(steps_[i]);
        made.speed_least = std::min(made.speed_least, stamp_value(stamps_[i]));
        made.speed_most = std::max(made.speed_most, stamp_value(stamps_[i]));
    }
    return made;
}

MotionList::Node MotionList::node_of_nodes(std::size_t level, std::size_t node) const {
    const auto& under = levels_[level - 1];
    Node made = under[node * k_pyramid_step];
    for (std::size_t i = node * k_pyramid_step + 1; i < (node + 1) * k_pyramid_step; ++i) {
        const Node& next = under[i];
        made.x.add(next.x);
        made.y.add(next.y);
        made.x_end = next.x_end;
        made.y_end = next.y_end;
        made.speed_least = std::min(made.speed_least, next.speed_least);
        made.speed_most = std::max(made.speed_most, next.speed_most);
    }
    return made;
}

std::int64_t MotionList::step(Signal which, std::size_t i) const {
    return which == Signal::x ? low(steps_[i]) : high(steps_[i]);
}

std::int64_t MotionList::value_after(Signal which, std::size_t i) const {
    if (which == Signal::speed) return stamp_value(stamps_[i]);
    const std::size_t whole = (i + 1) / k_pyramid_step;  // nodes that end at or before sample i
    std::int64_t value = 0;
    if (whole > 0) value = which == Signal::x ? levels_[0][whole - 1].x_end : levels_[0][whole - 1].y_end;
    for (std::size_t k = whole * k_pyramid_step; k <= i; ++k) value += step(which, k);
    return value;
}

MotionList::Range MotionList::range_of(Signal which, std::size_t level, std::size_t node) const {
    const Node& made = levels_[level - 1][node];
    if (which == Signal::x) return made.x;
    if (which == Signal::y) return made.y;
    return {made.speed_least, made.speed_most};
}

/// Of the values after samples [from, to).
MotionList::Range MotionList::range(Signal which, std::size_t from, std::size_t to) const {
    Range sum{std::numeric_limits<std::int64_t>::max(), std::numeric_limits<std::int64_t>::min()};
    in_rows(from, to, [&](std::size_t level, std::size_t first, std::size_t last) {
        if (level > 0) {
            for (std::size_t i = first; i < last; ++i) sum.add(range_of(which, level, i));
            return;
        }
        std::int64_t value = value_after(which, first);
        sum.add(value);
        for (std::size_t i = first + 1; i < last; ++i) {
            value = which == Signal::speed ? stamp_value(stamps_[i]) : value + step(which, i);
            sum.add(value);
        }
    });
    return sum;
}

/// The speed in force at `us`, `before` samples lying at or before it.
std::int64_t MotionList::speed_at(std::int64_t us, std::size_t before) const {
    if (before == 0) return 0;
    const std::uint64_t last = stamps_[before - 1];
    return us - stamp_us(last) >= k_speed_rest_us ? 0 : stamp_value(last);
}

Reach MotionList::reach(Signal which, std::int64_t begin_us, std::int64_t end_us, std::size_t& hint) const {
    const std::size_t from = find_stamp(stamps_, begin_us, hint);
    const std::size_t to = find_stamp(stamps_, end_us, from);
    hint = to;
    Range sum{std::numeric_limits<std::int64_t>::max(), std::numeric_limits<std::int64_t>::min()};
    if (to > from) sum = range(which, from, to);
    const bool is_carried = from == to || stamp_us(stamps_[from]) != begin_us;
    if (which != Signal::speed) {
        if (is_carried) sum.add(from == 0 ? 0 : value_after(which, from - 1));
        return {sum.least, sum.most, to == 0 ? 0 : value_after(which, to - 1), true};
    }
    if (is_carried) sum.add(speed_at(begin_us, from));
    const std::int64_t last = speed_at(end_us - 1, to);
    sum.add(last);
    return {sum.least, sum.most, last, true};
}

std::size_t MotionList::bytes_used() const {
    std::size_t bytes = stamps_.bytes_used() + steps_.bytes_used() + levels_.capacity() * sizeof(levels_[0]);
    for (const auto& level : levels_) bytes += level.bytes_used();
    return bytes;
}

}  // namespace fettle::trace
