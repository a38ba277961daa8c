#pragma once

#include <cstdint>
#include <string>

#include "app/views/hands.hpp"
#include "app/views/presses_growing.hpp"
#include "app/views/presses_timeline_state.hpp"
#include "app/views/presses_times_state.hpp"
#include "core/measure/room_codes.hpp"
#include "core/trace/roll_export.hpp"

namespace fettle::app {

enum class PressesPart : std::uint8_t { timeline, times, room, recordings };

struct PressesState {
    PressesPart part = PressesPart::timeline;
    TimelineState timeline;
    TimesState times;
    std::string name;  ///< of the recording that waits to be saved
    std::string open_path;
    HandsState hands;
    GrowingRoll exported, heard;
    trace::Contents contents;  ///< of what would be exported
    measure::RoomTest room;    ///< of what was heard in the room
    std::int64_t room_from_us = 0, room_to_us = 0;
};

}  // namespace fettle::app
