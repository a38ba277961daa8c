#pragma once
// The port over a device that hidapi has open. For open_hid_port(), and for tests with a library of their
// own.

#include <memory>
#include <string>

#include "core/base/clock.hpp"
#include "core/link/port.hpp"

struct hid_device_;

namespace fettle::link {

/// Takes the device over, closes it with the port, and reads away what it sent before: 63 reports at most, as
/// many as Linux keeps for one reader. path: the node that it is.
std::unique_ptr<Port> hid_port_over(hid_device_* device, const std::string& path, const Clock& clock);

}  // namespace fettle::link
