#pragma once
// The parts of the Presses screen, a file each.

#include "app/views/views.hpp"

namespace fettle::app {

void timeline_part(ui::Ui& ui, const Desk& desk, TimelineState& state, const Orders& orders);
void times_part(ui::Ui& ui, const Desk& desk, TimesState& state, const Orders& orders);
void room_part(ui::Ui& ui, const Desk& desk, PressesState& state, const Orders& orders);
void recordings_part(ui::Ui& ui, const Desk& desk, PressesState& state, const Orders& orders);

}  // namespace fettle::app
