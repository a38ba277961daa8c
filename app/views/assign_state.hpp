#pragma once

namespace fettle::app {

struct AssignState {};

}  // namespace fettle::app
