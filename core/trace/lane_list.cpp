#include "core/trace/lane_list.hpp"

#include <algorithm>

namespace fettle::trace {

void EdgeSum::add(std::uint16_t value) {
    if (value == 0) {
        had_off = 1;
        return;
    }
    begins = (begins + 1) & 0x7FFFFFFFu;
    least = std::min(least, value);
    most = std::max(most, value);
}

void EdgeSum::add(const EdgeSum& other) {
    begins = (begins + other.begins) & 0x7FFFFFFFu;
    had_off |= other.had_off;
    least = std::min(least, other.least);
    most = std::max(most, other.most);
}

void LaneList::put(std::int64_t us, std::uint16_t value) {
    if (!stamps_.is_empty()) us = std::max(us, stamp_us(stamps_.last()));
    stamps_.push(stamp(us, value));
    std::size_t count = stamps_.size();
    for (std::size_t level = 0; count % k_pyramid_step == 0; ++level) {
        EdgeSum sum = EdgeSum::none();
        for (std::size_t i = count - k_pyramid_step; i < count; ++i) sum.add(sum_of(level, i));
        if (level == levels_.size()) levels_.emplace_back();
        levels_[level].push(sum);
        count /= k_pyramid_step;
    }
}

EdgeSum LaneList::sum_of(std::size_t level, std::size_t node) const {
    if (level > 0) return levels_[level - 1][node];
    EdgeSum sum = EdgeSum::none();
    sum.add(stamp_value(stamps_[node]));
    return sum;
}

std::size_t LaneList::find(std::int64_t us, std::size_t hint) const {
    return find_stamp(stamps_, us, hint);
}

EdgeSum LaneList::sum(std::size_t from, std::size_t to) const {
    EdgeSum sum = EdgeSum::none();
    in_nodes(from, to, [&](std::size_t level, std::size_t node) {
        if (level == 0)
            sum.add(stamp_value(stamps_[node]));
        else
            sum.add(levels_[level - 1][node]);
    });
    return sum;
}

bool LaneList::has(std::size_t level, std::size_t node, bool is_off) const {
    const EdgeSum sum = sum_of(level, node);
    return is_off ? sum.had_off != 0 : sum.begins != 0;
}

/// Up over whole nodes without one, then down into the first node with one. What the last node leaves out is
/// looked at entry by entry: fewer than 16 a level.
std::size_t LaneList::next(std::size_t from, bool is_off) const {
    std::size_t level = 0, node = from;
    const auto whole = [&](std::size_t at_level) {
        return at_level == 0 ? stamps_.size() : at_level > levels_.size() ? 0 : levels_[at_level - 1].size();
    };
    while (true) {
        if (node >= whole(level)) {
            if (level == 0) return stamps_.size();
            --level;
            node *= k_pyramid_step;
            continue;
        }
        if (has(level, node, is_off)) {
            if (level == 0) return node;
            --level;
            node *= k_pyramid_step;
            continue;
        }
        ++node;
        if (node % k_pyramid_step == 0 && node / k_pyramid_step < whole(level + 1)) {
            ++level;
            node /= k_pyramid_step;
        }
    }
}

std::size_t LaneList::previous_begin(std::size_t before) const {
    std::size_t level = 0, end = before;  // nodes [0, end) of this level are still to be looked at
    while (end > 0) {
        if (end % k_pyramid_step == 0 && level < levels_.size() &&
            !has(level + 1, end / k_pyramid_step - 1, false)) {
            ++level;
            end /= k_pyramid_step;
            --end;
            continue;
        }
        if (!has(level, end - 1, false)) {
            --end;
            continue;
        }
        if (level == 0) return end - 1;
        --level;
        end *= k_pyramid_step;
    }
    return stamps_.size();
}

std::size_t LaneList::bytes_used() const {
    std::size_t bytes = stamps_.bytes_used() + levels_.capacity() * sizeof(levels_[0]);
    for (const auto& level : levels_) bytes += level.bytes_used();
    return bytes;
}

}  // namespace fettle::trace
