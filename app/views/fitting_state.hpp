#pragma once

namespace fettle::app {

struct FittingState {};

}  // namespace fettle::app
