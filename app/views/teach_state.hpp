#pragma once

#include <string>

#include "app/views/hands.hpp"

namespace fettle::app {

struct TeachState {
    std::string name;  ///< of a new input, as typed so far
    HandsState hands;
};

}  // namespace fettle::app
