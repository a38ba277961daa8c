#pragma once
// The parts of the connect screen. For its sources only.

#include <string>

#include "app/views/views.hpp"

namespace fettle::app {

/// "raw HID, serial as fallback".
std::string channel_words(const ui::Ui& ui, const link::Attached& one);
/// What is attached, a row each, that stays where it is; what hinders; the rule.
void connect_found(ui::Ui& ui, const Desk& desk, ConnectState& state, const Orders& orders);

}  // namespace fettle::app
