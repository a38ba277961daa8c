#include "app/views/presses_columns.hpp"

#include <algorithm>
#include <cmath>

namespace fettle::app {

namespace {

// An event may lie a little before the one before it: an infrared frame is told of 5 ms after its end. Own
// choice: twenty times of that.
constexpr std::int64_t k_late_us = 100'000;
constexpr double k_ratio = 1.25;  // from one length of columns to the next

std::int64_t floor_div(std::int64_t a, std::int64_t b) {
    return a / b - (a % b < 0 ? 1 : 0);
}

std::int64_t length_from(double least_us) {
    std::int64_t us = 1;
    while (static_cast<double>(us) < least_us)
        us = std::max(us + 1, static_cast<std::int64_t>(static_cast<double>(us) * k_ratio));
    return us;
}

std::size_t place_of(trace::Lane lane) {
    const auto kind = static_cast<std::size_t>(lane.kind);
    if (trace::is_of_an_input(lane.kind)) return kind * engine::k_max_inputs + lane.input;
    constexpr std::size_t k_of_inputs = std::size_t{trace::k_input_lane_kinds} * engine::k_max_inputs;
    return k_of_inputs + kind - trace::k_input_lane_kinds;
}

}  // namespace

void ColumnKeeper::look_at(const trace::Roll& roll, std::int64_t from_us, std::int64_t to_us,
                           double least_us) {
    const std::int64_t length = length_from(least_us);
    const bool is_other = roll_ != &roll || first_us_ != roll.first_us() || events_ > roll.size() ||
                          last_us_ > roll.last_us() || column_us_ != length;
    if (is_other)
        for (Kept& kept : kept_) kept.columns.clear();
    roll_ = &roll;
    first_us_ = roll.first_us();
    column_us_ = length;
    from_ = floor_div(from_us, length);
    to_ = floor_div(to_us, length) + 1;
    if (is_other || events_ != roll.size()) {
        // A gap begins at the last event, however long nothing was told since.
        const std::int64_t end_us = roll.is_empty() ? 0 : roll.at(roll.size() - 1).at_us - k_late_us;
        final_end_ = floor_div(end_us, length);
    }
    events_ = roll.size();
    last_us_ = roll.last_us();
}

void ColumnKeeper::ask(const trace::Roll& roll, trace::Lane lane, Kept& kept, std::int64_t from,
                       std::int64_t to) {
    if (from >= to) return;
    const auto count = static_cast<std::size_t>(to - from);
    const std::span<trace::Column> out(kept.columns.data() + (from - kept.first), count);
    roll.columns(lane, from * column_us_, to * column_us_, count, out);
    asked_ += count;
}

LaneColumns ColumnKeeper::lane(const trace::Roll& roll, trace::Lane lane) {
    Kept& kept = kept_[place_of(lane)];
    const std::int64_t old_first = kept.first;
    const std::int64_t old_end = kept.first + static_cast<std::int64_t>(kept.columns.size());
    const bool is_grown = kept.events != events_ || kept.last_us != last_us_;
    // What is kept and still holds: [good, good_end).
    const std::int64_t good = std::clamp(old_first, from_, to_);
    const std::int64_t good_end =
        std::clamp(is_grown ? std::min(old_end, kept.final_end) : old_end, good, to_);
    std::vector<trace::Column>& all = kept.columns;
    if (good > old_first && good < old_end)
        all.erase(all.begin(), all.begin() + (good - old_first));
    else if (good >= old_end)
        all.clear();
    all.resize(static_cast<std::size_t>(good_end - good));
    all.insert(all.begin(), static_cast<std::size_t>(good - from_), trace::Column{});
    all.resize(static_cast<std::size_t>(to_ - from_));
    kept.first = from_;
    ask(roll, lane, kept, from_, good);
    ask(roll, lane, kept, good_end, to_);
    kept.final_end = final_end_;
    kept.events = events_;
    kept.last_us = last_us_;
    return {from_, column_us_, all};
}

}  // namespace fettle::app
