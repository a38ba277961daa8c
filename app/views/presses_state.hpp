#pragma once

namespace fettle::app {

struct PressesState {};

}  // namespace fettle::app
