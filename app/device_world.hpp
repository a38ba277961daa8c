#pragma once
// What a command sees of attached devices: the system's, or a test's.

#include <memory>
#include <optional>
#include <string>

#include "core/base/clock.hpp"
#include "core/link/link.hpp"
#include "core/link/scan.hpp"

namespace fettle::app {

/// Thread: one.
class DeviceWorld {
public:
    virtual ~DeviceWorld() = default;
    /// One look, without opening anything. Errors: io.
    virtual Result<link::Sight> look() = 0;
    /// Errors: those of link::open_device.
    virtual Result<std::unique_ptr<link::Link>> open(const link::Attached& attached) = 0;
    /// Who has it open now, as far as this user's programs say so ("process 1234"); nothing: nobody.
    virtual std::optional<std::string> holder(const link::Attached& attached) = 0;
};

/// The kernel's devices, with this user's locks. clock: outlives it and every link that it opened.
std::unique_ptr<DeviceWorld> system_devices(const Clock& clock);

}  // namespace fettle::app
