#pragma once

namespace fettle::app {

struct MotionState {};

}  // namespace fettle::app
