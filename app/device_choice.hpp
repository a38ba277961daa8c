#pragma once
// Which of the attached devices is meant.

#include <optional>
#include <string>

#include "core/link/scan.hpp"

namespace fettle::app {

/// which: "" for the only one there is, else a path (of the fallback, too: then that channel alone), a serial
/// number or a place; "sim". Nothing: the simulated device, because it was named or because nothing real is
/// there. Errors: duplicate with k_several_devices (several fit), not_found, foreign (what is at that place
/// is none of ours), no_access (the one that fits may not be opened).
Result<std::optional<link::Attached>> choose_device(const link::Sight& sight, const std::string& which);

/// "F3A19C22 in socket 1-1 (/dev/hidraw3)": what tells it from others.
std::string device_name(const link::Attached& device);

}  // namespace fettle::app
