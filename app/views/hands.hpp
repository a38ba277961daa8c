#pragma once
// The simulated device's hands as controls: each input can be held as long as its control is, or tapped where
// only activating is possible (by number, by scanning). For any screen that wants something to happen.

#include <set>
#include <string>
#include <string_view>

#include "app/desk/desk.hpp"
#include "app/ui/ui.hpp"

namespace fettle::app {

struct HandsState {
    std::set<std::string> down;  ///< inputs that a control holds
};

/// Nothing for a real device. The inputs are those of the profile that the device runs.
void hands(ui::Ui& ui, std::string_view id, const Desk& desk, HandsState& state, const Orders& orders);

/// Is the input of that name down, as the device told last? False for one that it does not run.
bool is_down(const Desk& desk, const std::string& input);

}  // namespace fettle::app
