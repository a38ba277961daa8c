#pragma once

#include "app/views/hands.hpp"

namespace fettle::app {

struct ConnectState {
    HandsState hands;
};

}  // namespace fettle::app
