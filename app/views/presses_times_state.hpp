#pragma once

namespace fettle::app {

struct TimesState {};

}  // namespace fettle::app
