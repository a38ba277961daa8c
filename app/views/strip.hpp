#pragma once
// The last ten seconds: presses above, reports below.

#include <string>

#include "app/desk/desk.hpp"
#include "app/ui/ui.hpp"

namespace fettle::app {

inline constexpr std::int64_t k_strip_us = 10'000'000;
/// It moves on in steps of this, so that nothing changes faster than three times a second. Unit: us.
inline constexpr std::int64_t k_strip_step_us = 350'000;

/// Cost: the pixels, whatever was recorded.
void draw_strip(ui::Ui& ui, const Desk& desk, ui::Rect place);
/// The same in words: "up 3, select 1; 12 reports".
std::string strip_words(const ui::Ui& ui, const Desk& desk);

}  // namespace fettle::app
