#pragma once
// The simulated device's hands as controls: each input can be held as long as its control is, or tapped where
// only activating is possible (by number, by scanning). For any screen that wants something to happen.

#include <map>
#include <set>
#include <string>
#include <string_view>

#include "app/desk/desk.hpp"
#include "app/ui/ui.hpp"

namespace fettle::app {

struct HandsState {
    std::map<std::string, profile::InputSource> down;  ///< by the control that holds it
    std::set<std::string> drawn;                       ///< controls of this frame
};

/// Nothing for a real device. The inputs are those of the profile that the device runs.
void hands(ui::Ui& ui, std::string_view id, const Desk& desk, HandsState& state, const Orders& orders);

/// One of them by itself, whatever it is: a button, a switch that no profile knows. id: of the control.
void hand(ui::Ui& ui, const std::string& id, std::string_view label, const profile::InputSource& source,
          bool is_lit, HandsState& state, const Orders& orders);
/// After the screen, once a frame: what a control holds that is no longer on the screen is let go.
void let_go_of_gone(HandsState& state, const Orders& orders);

/// Is the input of that name down, as the device told last? False for one that it does not run.
bool is_down(const Desk& desk, const std::string& input);

}  // namespace fettle::app
