#pragma once

namespace fettle::app {

struct FrameState {};

}  // namespace fettle::app
