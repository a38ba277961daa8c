#pragma once
// Ports over the real libraries. Made on one thread at a time (hidapi keeps its opening error in one place
// for the whole program); used and closed by the I/O thread that gets them. clock: outlives the port.

#include <memory>
#include <string>

#include "core/base/clock.hpp"
#include "core/link/port.hpp"

namespace fettle::link {

/// hidapi, hidraw back end. path: the node. What the device sent before is not seen. Errors: not_found (no
/// such node), no_access (the system refuses), io (detail: what the library said).
Result<std::unique_ptr<Port>> open_hid_port(const std::string& path, const Clock& clock);

/// libserialport, raw, DTR raised, no flow control. Errors: as above, and in_use (another program holds it).
/// Closing lets DTR fall. A port that is unplugged is noticed though the library is silent about it.
Result<std::unique_ptr<Port>> open_serial_port(const std::string& path, const Clock& clock);

}  // namespace fettle::link
