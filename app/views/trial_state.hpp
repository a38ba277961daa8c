#pragma once

#include <set>
#include <string>

#include "app/views/hands.hpp"

namespace fettle::app {

struct TrialState {
    int seconds = 0;                 ///< 0: the profile's own
    std::set<std::string> accepted;  ///< warnings, by name
    bool texts_seen = false;
    HandsState hands;
};

}  // namespace fettle::app
