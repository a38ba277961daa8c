#pragma once
// The screens: functions of what is on the desk, of how far this screen was scrolled, zoomed and opened (its
// state), and of where orders go. None keeps anything else; all run in tests without a window.

#include "app/desk/desk.hpp"
#include "app/ui/ui.hpp"
#include "app/views/state.hpp"

namespace fettle::app {

/// The whole window: what is always there, and the screen that is shown.
void frame_view(ui::Ui& ui, const Desk& desk, ViewState& state, const Orders& orders);

void connect_view(ui::Ui& ui, const Desk& desk, ConnectState& state, const Orders& orders);
void teach_view(ui::Ui& ui, const Desk& desk, TeachState& state, const Orders& orders);
void assign_view(ui::Ui& ui, const Desk& desk, AssignState& state, const Orders& orders);
void motion_view(ui::Ui& ui, const Desk& desk, MotionState& state, const Orders& orders);
void presses_view(ui::Ui& ui, const Desk& desk, PressesState& state, const Orders& orders);
void trial_view(ui::Ui& ui, const Desk& desk, TrialState& state, const Orders& orders);
void people_view(ui::Ui& ui, const Desk& desk, PeopleState& state, const Orders& orders);
void settings_view(ui::Ui& ui, const Desk& desk, SettingsState& state, const Orders& orders);
void fitting_view(ui::Ui& ui, const Desk& desk, FittingState& state, const Orders& orders);

}  // namespace fettle::app
