#include "core/trace/lane_list.hpp"

#include <algorithm>

namespace fettle::trace {

void LaneList::add(EdgeSum& sum, const Node& node) {
    sum.begins += node.begins_and_off >> 1;
    sum.had_off |= (node.begins_and_off & 1) != 0;
    sum.least = std::min(sum.least, node.least);
    sum.most = std::max(sum.most, node.most);
}

/// A row within 16: it lies in one piece.
void LaneList::add_row(EdgeSum& sum, std::size_t level, std::size_t from, std::size_t to) const {
    const std::size_t count = to - from;
    if (level == 0) {
        const std::uint64_t* stamps = stamps_.piece(from);
        for (std::size_t i = 0; i < count; ++i) sum.add(stamp_value(stamps[i]));
        return;
    }
    const Node* nodes = levels_[level - 1].piece(from);
    for (std::size_t i = 0; i < count; ++i) add(sum, nodes[i]);
}

void LaneList::put(std::int64_t us, std::uint16_t value) {
    if (!stamps_.is_empty()) us = std::max(us, stamp_us(stamps_.last()));
    stamps_.push(stamp(us, value));
    std::size_t count = stamps_.size();
    for (std::size_t level = 0; count % k_pyramid_step == 0; ++level) {
        EdgeSum sum;
        add_row(sum, level, count - k_pyramid_step, count);
        if (level == levels_.size()) levels_.emplace_back();
        levels_[level].push({sum.begins << 1 | (sum.had_off ? 1u : 0u), sum.least, sum.most});
        count /= k_pyramid_step;
    }
}

std::size_t LaneList::find(std::int64_t us, std::size_t hint) const {
    return find_stamp(stamps_, us, hint);
}

EdgeSum LaneList::sum(std::size_t from, std::size_t to) const {
    EdgeSum sum;
    in_rows(from, to, [&](std::size_t level, std::size_t first, std::size_t last) {
        add_row(sum, level, first, last);
    });
    return sum;
}

bool LaneList::has(std::size_t level, std::size_t node, bool is_off) const {
    EdgeSum sum;
    add_row(sum, level, node, node + 1);
    return is_off ? sum.had_off : sum.has_number();
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
