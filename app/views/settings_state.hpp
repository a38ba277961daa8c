#pragma once

namespace fettle::app {

struct SettingsState {};

}  // namespace fettle::app
