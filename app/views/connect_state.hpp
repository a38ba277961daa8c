#pragma once

namespace fettle::app {

struct ConnectState {};

}  // namespace fettle::app
