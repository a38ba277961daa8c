#pragma once

#include <string>
#include <vector>

#include "app/views/hands.hpp"

namespace fettle::app {

struct ConnectState {
    HandsState hands;
    /// Paths, "" where nothing is: who is listed stays on its row.
    std::vector<std::string> real_rows, simulated_rows;
    bool shows_rule = false;
};

}  // namespace fettle::app
