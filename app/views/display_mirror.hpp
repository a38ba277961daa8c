#pragma once
// The device's character display, as it shows it now.

#include <string>
#include <string_view>
#include <vector>

#include "app/ui/ui.hpp"

namespace fettle::app {

/// rows: as the device told; none: it has no display. The room that it takes is always the same.
void display_mirror(ui::Ui& ui, std::string_view id, const std::vector<std::string>& rows);

}  // namespace fettle::app
