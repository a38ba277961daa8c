#pragma once

#include <optional>

#include "app/desk/commands.hpp"

namespace fettle::app {

struct FrameState {
    /// The screen that was drawn last: another one gets the focus.
    std::optional<Screen> shown;
};

}  // namespace fettle::app
