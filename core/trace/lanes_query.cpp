// What a lane was in a column or at a time. A lane is known at a time t unless a gap began before or at t, no
// snapshot came since, and the lane had no entry of its own since: entries at or after the gap's begin are
// always later than the gap (Lanes::floored).
#include <algorithm>

#include "core/trace/lanes.hpp"

namespace fettle::trace {

const LaneList& Lanes::list(Lane lane) const {
    static const LaneList none;
    const std::uint16_t place = place_of(lane);
    if (place == k_lane_count) return none;
    return lists_[place];
}

Lanes::Blind Lanes::blind_at(std::int64_t us) const {
    const std::size_t after = blind_.find(us + 1);
    if (after == 0) return {true, -k_stamp_offset_us};
    if (blind_.value(after - 1) == 0) return {};
    return {true, after == 1 ? -k_stamp_offset_us : blind_.us(after - 1)};
}

bool Lanes::is_known(Lane lane, std::int64_t us) const {
    if (lane.kind == LaneKind::lost) return true;
    const Blind blind = blind_at(us);
    if (!blind.is_blind) return true;
    if (is_mark_lane(lane.kind)) return false;
    const LaneList& entries = list(lane);
    const std::size_t after = entries.find(us + 1);
    return after != 0 && entries.us(after - 1) >= blind.from_us;
}

LaneState Lanes::state(Lane lane, std::int64_t us) const {
    if (place_of(lane) == k_lane_count) return {};
    const LaneList& entries = list(lane);
    const std::size_t after = entries.find(us + 1);
    LaneState state;
    state.is_known = is_known(lane, us);
    if (!state.is_known || after == 0 || is_mark_lane(lane.kind)) return state;
    const std::uint16_t value = entries.value(after - 1);
    state.is_on = value != 0;
    if (state.is_on) state.number = static_cast<std::uint16_t>(value - 1);
    return state;
}

/// Goes from gap to gap until one is found that the lane did not answer at once.
bool Lanes::was_unknown(Lane lane, std::int64_t begin_us, std::int64_t end_us) const {
    if (lane.kind == LaneKind::lost) return false;
    if (!is_known(lane, begin_us)) return true;
    std::size_t i = blind_.find(begin_us);
    while ((i = blind_.next(i, false)) < blind_.size() && blind_.us(i) < end_us) {
        if (!is_known(lane, blind_.us(i))) return true;
        ++i;
    }
    return false;
}

/// Whether what stood before the column is known at any time in it before the lane's next entry.
bool Lanes::is_carry_seen(Lane lane, std::int64_t begin_us, std::int64_t until_us) const {
    if (until_us <= begin_us) return false;
    if (is_known(lane, begin_us)) return true;
    const std::size_t i = blind_.next(blind_.find(begin_us), true);
    return i < blind_.size() && blind_.us(i) < until_us;
}

/// Nothing is unknown in the column: what most columns are, found at the cost of one comparison.
bool Lanes::is_clear(std::int64_t begin_us, std::int64_t end_us, Hint& hint) const {
    if (end_us <= hint.clear_until_us) return true;
    if (blind_at(begin_us).is_blind) return false;
    // A gap that begins at begin_us and is over there, too, hides nothing.
    const std::size_t i = blind_.next(blind_.find(begin_us + 1), false);
    hint.clear_until_us = i < blind_.size() ? blind_.us(i) : k_stamp_offset_us;
    return end_us <= hint.clear_until_us;
}

Column Lanes::column(Lane lane, std::int64_t begin_us, std::int64_t end_us, Hint& hint) const {
    Column column;
    const LaneList& entries = list(lane);
    const std::size_t from = entries.find(begin_us, hint.entry);
    const std::size_t to = entries.find(end_us, from);
    hint.entry = to;
    EdgeSum sum;
    if (to > from) sum = entries.sum(from, to);
    column.begins = sum.begins;
    const bool is_clear = this->is_clear(begin_us, end_us, hint);
    column.was_unknown = !is_clear && was_unknown(lane, begin_us, end_us);
    if (is_mark_lane(lane.kind)) {
        column.was_off = true;
    } else {
        // What stands from before is no beginning: it is added after the beginnings were counted.
        const std::int64_t until_us = from < to ? entries.us(from) : end_us;
        if (is_clear ? begin_us < until_us : is_carry_seen(lane, begin_us, until_us))
            sum.add(from > 0 ? entries.value(from - 1) : std::uint16_t{0});
        column.was_on = sum.has_number();
        column.was_off = sum.had_off;
    }
    if (!sum.has_number()) return column;
    column.number = static_cast<std::uint16_t>(sum.most - 1);
    column.is_mixed = sum.least != column.number;
    return column;
}

std::optional<std::int64_t> Lanes::next_mark(Lane lane, std::int64_t us) const {
    const LaneList& entries = list(lane);
    const std::size_t i = entries.next(entries.find(us + 1), false);
    if (i == entries.size()) return std::nullopt;
    return entries.us(i);
}

std::optional<std::int64_t> Lanes::previous_mark(Lane lane, std::int64_t us) const {
    const LaneList& entries = list(lane);
    const std::size_t i = entries.previous_begin(entries.find(us));
    if (i == entries.size()) return std::nullopt;
    return entries.us(i);
}

}  // namespace fettle::trace
