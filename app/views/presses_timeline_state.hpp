#pragma once

namespace fettle::app {

struct TimelineState {};

}  // namespace fettle::app
