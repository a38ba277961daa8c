#pragma once
// The slow, obvious model of a roll's lanes and signals: plain lists, and every question answered by looking
// at every moment at which anything could change. What roll.hpp says, written down a second time.

#include <optional>
#include <vector>

#include "core/trace/roll.hpp"

namespace fettle::test {

class SlowRoll {
public:
    explicit SlowRoll(const trace::Roll& roll);

    trace::Column column(trace::Lane lane, std::int64_t begin_us, std::int64_t end_us) const;
    trace::LaneState state(trace::Lane lane, std::int64_t us) const;
    std::optional<std::int64_t> next_mark(trace::Lane lane, std::int64_t us) const;
    std::optional<std::int64_t> previous_mark(trace::Lane lane, std::int64_t us) const;
    trace::Reach reach(trace::Signal which, std::int64_t begin_us, std::int64_t end_us) const;
    std::vector<trace::Roll::Found> found(trace::Wanted wanted) const;

    struct Entry {
        std::int64_t us = 0;
        int value = 0;  ///< -1 off, otherwise the number
    };
    std::vector<Entry> entries(trace::Lane lane) const;

private:
    struct Blind {
        std::int64_t from_us = 0;
        std::optional<std::int64_t> to_us;
        bool is_first = false;
    };
    struct Told {
        trace::Moment moment;
        std::int64_t last_gap_us = 0;
        std::int64_t floor_us = 0;  ///< not before the last gap
        bool is_blind = false;      ///< before it
        bool ends_blind = false;
        std::optional<std::int64_t> closes_us;  ///< a gap, or `lost`: where it begins
        std::uint32_t missing = 0;
    };
    bool is_inside(std::int64_t us) const { return !told_.empty() && us >= first_us_ && us <= last_us_; }
    bool is_known(trace::Lane lane, const std::vector<Entry>& entries, std::int64_t us) const;
    trace::LaneState state_of(trace::Lane lane, const std::vector<Entry>& entries, std::int64_t us) const;
    std::int64_t value_at(trace::Signal which, std::int64_t us) const;

    std::vector<Told> told_;
    std::vector<Blind> blind_;
    std::int64_t first_us_ = 0, last_us_ = 0;
    struct Step {
        std::int64_t us;
        int dx, dy;
        std::int64_t speed;
    };
    std::vector<Step> steps_;
    std::vector<Entry> scale_;
};

}  // namespace fettle::test
