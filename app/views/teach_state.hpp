#pragma once

namespace fettle::app {

struct TeachState {};

}  // namespace fettle::app
