#pragma once
// An infrared train as it came: marks up, spaces down, to scale.

#include <cstdint>
#include <span>
#include <string_view>

#include "app/ui/ui.hpp"

namespace fettle::app {

/// widths_us: mark, space, mark ... ; none: an empty picture that says so. Trains longer than 200 ms are
/// drawn up to there.
void pulse_picture(ui::Ui& ui, std::string_view id, std::span<const std::int32_t> widths_us);

}  // namespace fettle::app
