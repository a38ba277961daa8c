// Questions to a roll: columns, states, jumps. What lies outside of what was recorded is blank.
#include <algorithm>
#include <limits>

#include "core/trace/roll.hpp"
#include "core/trace/roll_parts.hpp"

namespace fettle::trace {

namespace {

struct Part {
    std::int64_t begin_us = 0, end_us = 0;
    bool is_point = false;  ///< a column of no length
    bool is_blank = true;
};

/// A column cut to what was recorded.
Part part_of(std::int64_t begin_us, std::int64_t end_us, const Roll& roll) {
    Part part{begin_us, end_us, begin_us == end_us, true};
    if (roll.is_empty()) return part;
    if (part.is_point) {
        part.is_blank = begin_us < roll.first_us() || begin_us > roll.last_us();
        return part;
    }
    part.begin_us = std::max(begin_us, roll.first_us());
    part.end_us = std::min(end_us, roll.last_us() + 1);
    part.is_blank = part.begin_us >= part.end_us;
    return part;
}

Column point(const LaneState& state, bool is_marks) {
    Column column;
    column.was_unknown = !state.is_known;
    column.was_on = state.is_on;
    column.was_off = is_marks || (state.is_known && !state.is_on);
    column.number = state.number;
    return column;
}

/// Times far outside of any recording would overflow when they are cut into columns.
std::int64_t bounded(std::int64_t us) {
    constexpr std::int64_t most_us = 2 * k_farthest_us - 2;
    return std::clamp(us, -most_us, most_us);
}

Reach scale_reach(const LaneList& list, std::int64_t begin_us, std::int64_t end_us, std::size_t& hint) {
    const std::size_t from = list.find(begin_us, hint);
    const std::size_t to = list.find(end_us, from);
    hint = to;
    EdgeSum sum = list.sum(from, to);
    if (from > 0 && (from == to || list.us(from) != begin_us)) sum.add(list.value(from - 1));
    if (!sum.has_number()) return {};
    return {sum.least, sum.most - 1, list.value(to - 1) - 1, true};
}

/// Calls take(i, begin_us, end_us) for each column of a question.
template <typename Take>
void for_columns(std::int64_t from_us, std::int64_t to_us, std::size_t count, std::size_t room, Take take) {
    from_us = bounded(from_us);
    to_us = bounded(to_us);
    if (to_us < from_us) return;
    for (std::size_t i = 0; i < count && i < room; ++i)
        take(i, column_begin_us(i, from_us, to_us, count), column_begin_us(i + 1, from_us, to_us, count));
}

}  // namespace

std::int64_t column_begin_us(std::size_t i, std::int64_t from_us, std::int64_t to_us, std::size_t count) {
    const auto long_us = static_cast<std::uint64_t>(to_us - from_us);
    return from_us + static_cast<std::int64_t>(long_us / count * i + long_us % count * i / count);
}

void Roll::columns(Lane lane, std::int64_t from_us, std::int64_t to_us, std::size_t count,
                   std::span<Column> out) const {
    const bool is_lane = place_of(lane) != k_lane_count;
    Lanes::Hint hint;
    for_columns(from_us, to_us, count, out.size(), [&](std::size_t i, std::int64_t a, std::int64_t b) {
        const Part part = part_of(a, b, *this);
        out[i] = {};
        if (part.is_blank || !is_lane) return;
        if (part.is_point)
            out[i] = point(parts_->lanes.state(lane, a), is_mark_lane(lane.kind));
        else
            out[i] = parts_->lanes.column(lane, part.begin_us, part.end_us, hint);
    });
}

LaneState Roll::lane_at(Lane lane, std::int64_t us) const {
    if (part_of(us, us, *this).is_blank) return {};
    return parts_->lanes.state(lane, us);
}

std::optional<std::int64_t> Roll::next_mark(Lane lane, std::int64_t us) const {
    return parts_->lanes.next_mark(lane, bounded(us));
}

std::optional<std::int64_t> Roll::previous_mark(Lane lane, std::int64_t us) const {
    return parts_->lanes.previous_mark(lane, bounded(us));
}

bool Roll::has_anything(Lane lane) const {
    return parts_->lanes.list(lane).size() > 0;
}

void Roll::signal(Signal which, std::int64_t from_us, std::int64_t to_us, std::size_t count,
                  std::span<Reach> out) const {
    const LaneList& scale = parts_->lanes.list({LaneKind::scale, 0});
    const MotionList& motion = parts_->lanes.motion();
    std::size_t hint = 0;
    for_columns(from_us, to_us, count, out.size(), [&](std::size_t i, std::int64_t a, std::int64_t b) {
        const Part part = part_of(a, b, *this);
        out[i] = {};
        if (part.is_blank) return;
        const std::int64_t end_us = std::max(part.end_us, part.begin_us + 1);
        std::size_t at = hint;
        if (which == Signal::scale)
            out[i] = scale_reach(scale, part.begin_us, end_us, at);
        else
            out[i] = motion.reach(which, part.begin_us, end_us, at);
        if (!part.is_point) hint = at;  // the next column may begin where one of no length does
    });
}

std::optional<Roll::Found> Roll::find_next(std::int64_t us, Wanted wanted) const {
    const auto& list = parts_->found[static_cast<std::size_t>(wanted)];
    std::size_t low = 0, high = list.size();
    while (low < high) {
        const std::size_t middle = low + (high - low) / 2;
        if (list[middle].at_us <= us)
            low = middle + 1;
        else
            high = middle;
    }
    if (low == list.size()) return std::nullopt;
    return list[low];
}

std::optional<Roll::Found> Roll::find_previous(std::int64_t us, Wanted wanted) const {
    const auto& list = parts_->found[static_cast<std::size_t>(wanted)];
    std::size_t low = 0, high = list.size();
    while (low < high) {
        const std::size_t middle = low + (high - low) / 2;
        if (list[middle].at_us < us)
            low = middle + 1;
        else
            high = middle;
    }
    if (low == 0) return std::nullopt;
    return list[low - 1];
}

std::size_t Roll::count_of(Wanted wanted) const {
    return parts_->found[static_cast<std::size_t>(wanted)].size();
}

std::size_t Roll::bytes_used() const {
    std::size_t bytes =
        sizeof(Parts) + parts_->bytes.bytes_used() + parts_->marks.bytes_used() + parts_->lanes.bytes_used();
    for (const auto& list : parts_->found) bytes += list.bytes_used();
    return bytes;
}

}  // namespace fettle::trace
