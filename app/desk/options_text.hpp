#pragma once
// How a person works the window, as the store's settings keep it. Thread: any.

#include <string>

#include "app/ui/options.hpp"

namespace fettle::app {

/// Key in store::Store::setting().
inline constexpr const char* k_options_setting = "options";

/// "name=value" lines and back; what is unknown or out of range is left as it was.
std::string options_text(const ui::Options& options);
ui::Options options_from(const std::string& text);

}  // namespace fettle::app
