#pragma once
// The computer at the other end, as an obvious model: it reads a report at every poll and remembers what was
// typed, clicked and moved, and with which modifiers.

#include <cstdint>
#include <set>
#include <vector>

#include "core/engine/report.hpp"

namespace fettle::engine::testing {

struct Typed {
    std::uint32_t ms;
    std::uint8_t modifiers, usage;
};
struct Clicked {
    std::uint32_t ms;
    std::uint8_t modifiers;
    std::uint8_t buttons;  ///< that are down from now on
};
struct Media {
    std::uint32_t ms;
    std::uint16_t usage;  ///< 0: let go
};

class Computer {
public:
    void offer(Endpoint endpoint, const Report& report);
    /// Reads what its polls find at this millisecond. Gives k_taken_* bits.
    std::uint8_t poll(std::uint32_t ms);
    bool is_waiting() const { return offered_[0].size + offered_[1].size > 0; }
    /// A bus reset: what was offered is gone, nothing is down.
    void reset();

    bool holds_anything() const { return modifiers != 0 || !keys.empty() || buttons != 0 || media != 0; }

    std::uint32_t interval_ms = 1;
    bool is_reading = true;
    std::uint8_t modifiers = 0;
    std::set<std::uint8_t> keys;
    std::uint8_t buttons = 0;
    std::uint16_t media = 0;
    long x = 0, y = 0, wheel = 0, pan = 0;
    std::uint32_t last_motion_ms = 0;
    bool was_handed_two = false;  ///< a second report before the first was read: never lawful

    std::vector<Typed> typed;     ///< keys that went down
    std::vector<Clicked> clicks;  ///< changes of buttons
    std::vector<Media> medias;
    std::vector<std::uint8_t> modifier_history;  ///< each change of modifiers

private:
    void read_keyboard(const Report& report, std::uint32_t ms);
    void read_pointer(const Report& report, std::uint32_t ms);
    Report offered_[2] = {};
};

}  // namespace fettle::engine::testing
