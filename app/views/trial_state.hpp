#pragma once

namespace fettle::app {

struct TrialState {};

}  // namespace fettle::app
