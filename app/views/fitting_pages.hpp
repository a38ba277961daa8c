#pragma once
// The pages of the first fitting that change a profile, a file of their own.

#include "app/views/views.hpp"

namespace fettle::app {

void fitting_assign(ui::Ui& ui, const Desk& desk, FittingState& state, const Orders& orders);
void fitting_motion(ui::Ui& ui, const Desk& desk, FittingState& state, const Orders& orders);
void fitting_presses(ui::Ui& ui, const Desk& desk, const Orders& orders);

}  // namespace fettle::app
