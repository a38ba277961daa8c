#pragma once

#include <cstdint>
#include <string>

#include "app/views/hands.hpp"
#include "app/views/presses_timeline_state.hpp"
#include "app/views/presses_times_state.hpp"

namespace fettle::app {

enum class PressesPart : std::uint8_t { timeline, times, room, recordings };

struct PressesState {
    PressesPart part = PressesPart::timeline;
    TimelineState timeline;
    TimesState times;
    bool with_usages = false;  ///< the person agreed, for the recording that begins next
    std::string name;          ///< of the recording that waits to be saved
    std::string open_path;
    HandsState hands;
};

}  // namespace fettle::app
