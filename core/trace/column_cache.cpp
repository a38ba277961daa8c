#include "core/trace/column_cache.hpp"

#include <algorithm>
#include <limits>

namespace fettle::trace {

namespace {

/// More new events than a frame brings: a file was read. Then all is asked anew.
constexpr std::size_t k_most_news = 4096;

}  // namespace

/// What ends at or before this is as it was. An event may lie before its predecessors, but its entries never
/// before its own time; `lost` reaches back to the event before it.
std::int64_t ColumnCache::unchanged_until_us(const Roll& roll) const {
    if (roll.size() == size_) return last_us_;
    if (size_ == 0 || roll.size() - size_ > k_most_news) return std::numeric_limits<std::int64_t>::min();
    std::int64_t until_us = latest_us_;
    Moment moment;
    for (auto walk = roll.walk(size_); walk.next(moment);) until_us = std::min(until_us, moment.at_us);
    return until_us;
}

void ColumnCache::ask(const Roll& roll, std::int64_t first, std::span<Column> to) {
    if (to.empty()) return;
    const auto past = first + static_cast<std::int64_t>(to.size());
    roll.columns(lane_, first * width_us_, past * width_us_, to.size(), to);
    asked_ += to.size();
}

void ColumnCache::columns(const Roll& roll, Lane lane, std::int64_t width_us, std::int64_t first,
                          std::span<Column> out) {
    const auto count = static_cast<std::int64_t>(out.size());
    const std::int64_t farthest = width_us > 0 ? k_farthest_us / width_us : -1;
    if (farthest < 0 || first < -farthest - count || first > farthest || count > farthest + k_farthest_us) {
        std::fill(out.begin(), out.end(), Column{});
        return;
    }
    if (roll.id() != roll_id_ || lane != lane_ || width_us != width_us_) columns_.clear();
    roll_id_ = roll.id();
    lane_ = lane;
    width_us_ = width_us;
    // Columns [keep, past) are kept.
    const std::int64_t until_us = columns_.empty() ? 0 : unchanged_until_us(roll);
    std::int64_t keep = std::max(first, first_);
    std::int64_t past = std::min(first + count, first_ + static_cast<std::int64_t>(columns_.size()));
    while (past > keep && past * width_us > until_us) --past;
    if (past <= keep) keep = past = first;
    next_.assign(out.size(), {});
    const auto at = [&](std::int64_t column) { return static_cast<std::size_t>(column - first); };
    for (std::int64_t k = keep; k < past; ++k) next_[at(k)] = columns_[static_cast<std::size_t>(k - first_)];
    ask(roll, first, std::span(next_).first(at(keep)));
    ask(roll, past, std::span(next_).subspan(at(past)));
    std::copy(next_.begin(), next_.end(), out.begin());
    columns_.swap(next_);
    first_ = first;
    size_ = roll.size();
    latest_us_ = roll.latest_us();
    last_us_ = roll.last_us();
}

}  // namespace fettle::trace
