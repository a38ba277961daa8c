#pragma once
// All lanes of a roll: from events to entries, and what a lane was in a column or at a time. What is unknown
// stands once for all lanes, as intervals, so that a gap costs two entries and not two a lane.

#include <array>
#include <cstdint>
#include <optional>

#include "core/engine/event.hpp"
#include "core/trace/lane.hpp"
#include "core/trace/lane_list.hpp"
#include "core/trace/motion_list.hpp"

namespace fettle::trace {

/// The place of a lane among k_lane_count; k_lane_count for one that there is not.
std::uint16_t place_of(Lane lane);

class Lanes {
public:
    /// Before the first event: nothing is known from here on.
    void begin(std::int64_t us) { blind_.put(us, 1); }
    /// Nothing is known from here on. us: above floor_us(). missing: batches or events.
    void close(std::int64_t us, std::uint32_t missing);
    void take(std::int64_t us, const engine::Event& event);

    /// No entry lies before the last gap any more.
    std::int64_t floor_us() const { return floor_us_; }
    LaneState state(Lane lane, std::int64_t us) const;
    /// What one column leaves for the next one of a row.
    struct Hint {
        std::size_t entry = 0;
        std::int64_t clear_until_us =
            -k_stamp_offset_us;  ///< from this column on nothing is unknown until then
    };
    /// [begin_us, end_us) inside of what was recorded, begin_us < end_us, not before the column before.
    Column column(Lane lane, std::int64_t begin_us, std::int64_t end_us, Hint& hint) const;
    std::optional<std::int64_t> next_mark(Lane lane, std::int64_t us) const;
    std::optional<std::int64_t> previous_mark(Lane lane, std::int64_t us) const;

    /// Of a lane that there is, otherwise an empty one.
    const LaneList& list(Lane lane) const;
    const MotionList& motion() const { return motion_; }
    std::size_t bytes_used() const;

private:
    LaneList& own(LaneKind kind, std::uint8_t input = 0);
    void set(LaneKind kind, std::uint8_t input, std::int64_t us, bool is_on, std::uint32_t number);
    void mark(LaneKind kind, std::uint8_t input, std::int64_t us, std::uint32_t number);
    bool is_blind() const { return blind_.last_value() != 0; }
    std::int64_t floored(std::int64_t us) const;
    void take_press(std::int64_t us, const engine::Event& event);
    void take_action(std::int64_t us, const engine::Event& event);
    void take_report(std::int64_t us, const engine::Event& event);
    void take_held(std::int64_t us, const engine::Event& event);
    void take_snapshot(std::int64_t us, const engine::Event& event);
    void let_go_presses(std::int64_t us);

    /// Where nothing is known. `from_us` of the first interval is not looked at: entries before it count.
    struct Blind {
        bool is_blind = false;
        std::int64_t from_us = 0;
    };
    Blind blind_at(std::int64_t us) const;
    bool is_clear(std::int64_t begin_us, std::int64_t end_us, Hint& hint) const;
    bool is_known(Lane lane, std::int64_t us) const;
    bool was_unknown(Lane lane, std::int64_t begin_us, std::int64_t end_us) const;
    bool is_carry_seen(Lane lane, std::int64_t begin_us, std::int64_t until_us) const;

    std::array<LaneList, k_lane_count> lists_;
    LaneList blind_;  ///< on: nothing is known from here on; off: a snapshot
    MotionList motion_;
    std::int64_t floor_us_ = -k_stamp_offset_us;
};

}  // namespace fettle::trace
