#pragma once

#include <set>
#include <string>

#include "app/views/hands.hpp"

namespace fettle::app {

struct TeachState {
    std::string name;  ///< of a new input, as typed so far
    HandsState hands;
    std::set<std::string> held;  ///< things of the simulated room that a control holds down
};

}  // namespace fettle::app
