#pragma once
// What the command line says of the window, and what of it the window takes.

#include <string>

#include "app/arguments.hpp"
#include "app/ui/options.hpp"
#include "core/base/result.hpp"
#include "core/base/xdg.hpp"

namespace fettle::app {

/// No window can be had: why, and what works without it. error: of Window::open.
std::string no_window_sentence(const Error& error);

/// The language that the system speaks: German or, for everything else, English.
/// Source: POSIX.1-2017, chapter 8.2, for the variables and their order.
Language system_language(const Environment& environment);

/// What was asked for replaces what was remembered.
void apply(const WindowArgs& args, ui::Options& options);

}  // namespace fettle::app
