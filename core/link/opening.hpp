#pragma once
// From what was found to a link that works.

#include <memory>
#include <optional>
#include <string>

#include "core/base/clock.hpp"
#include "core/base/xdg.hpp"
#include "core/link/link.hpp"

namespace fettle::link {

/// Claims the device, opens its HID channel and, where it has one, its serial channel as the fallback
/// (PairedLink); a serial channel that cannot be opened is done without. Only the serial channel of a device
/// that has just that, or where `attached.path` names it. claims: folder of the locks; "" takes none, and so
/// does one that cannot be written. clock outlives the link. Opens nothing on the network. Thread: the one
/// that enumerates. Errors: those of the ports and of Claim. Says nothing to the device: who greets it learns
/// whether it runs something else.
Result<std::unique_ptr<Link>> open_device(const Attached& attached, const std::string& claims,
                                          const Clock& clock);

/// Which of this user's programs has it claimed ("process 1234"). Nothing: none, or that cannot be known. It
/// is claimed for the moment of asking.
std::optional<std::string> holder_of(const Attached& attached, const std::string& claims);

/// Where the locks of this user live: in $XDG_RUNTIME_DIR where that is this user's own, else in the state
/// folder. "" : nowhere.
std::string claims_folder(const Environment& environment = system_environment);

}  // namespace fettle::link
