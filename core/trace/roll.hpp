#pragma once
// The roll: an append-only record of telemetry that the window draws from, as an instrument writes on paper.
// Appending is O(1) (amortised); a question for n columns costs n times the logarithm of what is recorded,
// not its length. Nothing is sampled: what a column says is exact.
//
// Time. Each event keeps its own device time, which may lie a little before its predecessor's (an infrared
// frame is told of 5 ms after its end). The order of events is that of their arrival. In a lane no entry lies
// before the lane's previous one: a time that does counts as that one's there.
//
// Gaps. append_gap() says that telemetry is missing between the last event and the next one; EventKind::lost
// says it by itself. From 1 us after the last event on, each lane is unknown until its own next event or the
// next snapshot. The snapshot says which inputs are down, mode and scale; presses and actions of inputs that
// are up are over by then, those of inputs that are down go on as they were. What the reports held is taken
// as let go at the gap. Before the first snapshot everything is unknown in the same way, but that is no loss.
//
// Owned by one thread. Movable; what it was moved from is empty.

#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <span>

#include "core/trace/lane.hpp"
#include "core/trace/recording.hpp"

namespace fettle::trace {

/// What is known of a recording as a whole.
struct RollInfo {
    std::uint32_t image_crc = 0;  ///< of the profile that ran when it began
    std::uint16_t engine_build = 0;
    bool has_usages = false;         ///< the person agreed that key usages are recorded
    std::uint32_t batches_lost = 0;  ///< sum of append_gap()
    std::uint32_t events_lost = 0;   ///< sum of EventKind::lost
    bool operator==(const RollInfo&) const = default;
};

/// Times beyond ± 2 years count as that. Unit: us.
constexpr std::int64_t k_farthest_us = std::int64_t{1} << 46;

/// A gap stands among the events as a moment of this kind; data: batches lost u32 (0: not known).
constexpr engine::EventKind k_gap_kind = engine::EventKind::none;
inline bool is_gap(const engine::Event& event) {
    return event.kind == k_gap_kind;
}
std::uint32_t gap_batches(const engine::Event& event);

class Roll {
public:
    class Walk;

    Roll();
    ~Roll();
    Roll(Roll&& other) noexcept;
    Roll& operator=(Roll&& other) noexcept;
    Roll(const Roll&) = delete;
    Roll& operator=(const Roll&) = delete;

    /// Begins anew: nothing recorded. batches_lost and events_lost of `info` are set to 0.
    void clear(const RollInfo& info = {});
    const RollInfo& info() const;

    /// `event.at_us` is not looked at. False, and nothing recorded: a kind of which event_size() knows
    /// nothing.
    bool append(std::int64_t at_us, const engine::Event& event);
    /// Telemetry is missing here. batches: 0 where it is not known how many (the device was gone).
    void append_gap(std::uint32_t batches);
    /// The device was heard at this time and had nothing to tell: what stood at the last event stands until
    /// then. Not earlier than last_us(), or without effect; nor in an empty roll.
    void extend_to(std::int64_t us);

    std::size_t size() const;  ///< events and gaps
    bool is_empty() const { return size() == 0; }
    /// Memory in use, indexes included. Below 24 bytes an event for what a device tells at work.
    std::size_t bytes_used() const;
    std::int64_t first_us() const;  ///< least time of an event; 0 when empty
    std::int64_t last_us() const;   ///< greatest time of an event or of extend_to(); 0 when empty

    std::int64_t latest_us() const;  ///< greatest time of an event; 0 when empty
    /// Another one for each roll and after each clear(); it moves with the roll. Never 0.
    std::uint64_t id() const;

    /// index: below size(). `event.at_us` is `at_us` cut to 32 bits. Cost: up to 64 events are read.
    Moment at(std::size_t index) const;
    /// The first event at or after this time (later ones may lie a little before it); size() when there is
    /// none.
    std::size_t index_at(std::int64_t us) const;
    /// From this event to the end. Valid until the roll is appended to, cleared or moved.
    Walk walk(std::size_t from_index = 0) const;
    /// Every event with from_us <= time < to_us, in the order of arrival.
    Walk walk_between(std::int64_t from_us, std::int64_t to_us) const;

    /// [from_us, to_us) cut into `count` columns as equal as whole us allow; `out` takes min(count,
    /// out.size()) of them. Column i begins at column_begin_us(i, ...). A column of no length says what the
    /// lane is at its time. count 0, or to_us < from_us: nothing is written.
    void columns(Lane lane, std::int64_t from_us, std::int64_t to_us, std::size_t count,
                 std::span<Column> out) const;
    LaneState lane_at(Lane lane, std::int64_t us) const;
    /// The next time after `us` (the last one before it) at which the lane begins: a mark, or on, or another
    /// number.
    std::optional<std::int64_t> next_mark(Lane lane, std::int64_t us) const;
    std::optional<std::int64_t> previous_mark(Lane lane, std::int64_t us) const;
    /// False: nothing was ever told of it. Lanes that are not used need no room on the screen.
    bool has_anything(Lane lane) const;

    /// Columns as in columns().
    void signal(Signal which, std::int64_t from_us, std::int64_t to_us, std::size_t count,
                std::span<Reach> out) const;

    struct Found {
        std::size_t index = 0;  ///< of the event
        std::int64_t at_us = 0;
        bool operator==(const Found&) const = default;
    };
    /// The next one after `us`, the last one before it. Cost: the logarithm of how many there are. at_us of a
    /// gap: where the lanes become unknown.
    std::optional<Found> find_next(std::int64_t us, Wanted wanted) const;
    std::optional<Found> find_previous(std::int64_t us, Wanted wanted) const;
    std::size_t count_of(Wanted wanted) const;

private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

/// Goes through events one by one: `while (walk.next(moment)) ...`
class Roll::Walk {
public:
    bool next(Moment& out);
    /// Of the event that next() gave last.
    std::size_t index() const { return index_; }

private:
    friend class Roll;
    const Parts* parts_ = nullptr;
    std::size_t next_ = 0, index_ = 0;
    std::uint64_t byte_ = 0;
    std::int64_t time_us_ = 0, from_us_ = 0, to_us_ = 0;
    std::int64_t stop_us_ = 0;  ///< once an event lies here or later, none of the range follows
};

/// Where column i of `count` begins; i == count: to_us.
std::int64_t column_begin_us(std::size_t i, std::int64_t from_us, std::int64_t to_us, std::size_t count);

/// The same moments. Where batches_lost of the recording were lost is not known: the roll has none.
Roll roll_of(const Recording& recording);
Recording recording_of(const Roll& roll);

}  // namespace fettle::trace
