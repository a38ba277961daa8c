#pragma once
// Tells when the attached devices changed.

#include <cstdint>
#include <memory>

namespace fettle::link {

enum class Change : std::uint8_t {
    none,     ///< the time is over, or wake() was called
    maybe,    ///< nobody said so: a system without such news
    kernel,   ///< a device came or went; whether it may be opened is not settled yet
    settled,  ///< udev is done with it: rights are what they will be
};

class DeviceWatch {
public:
    virtual ~DeviceWatch() = default;
    /// Waits for a change of hidraw, tty or usb devices, at most `ms`.
    virtual Change wait(std::uint32_t ms) = 0;
    /// From any thread: a wait() that runs or the next one returns at once.
    virtual void wake() = 0;
};

/// The kernel's own news and udev's; where there are none, one that says `maybe` once a second.
std::unique_ptr<DeviceWatch> watch_devices();
/// The second of them, by itself. period_ms: between two `maybe`.
std::unique_ptr<DeviceWatch> watch_by_time(std::uint32_t period_ms = 1000);
/// The first of them, by itself; nullptr where the system has no such news.
std::unique_ptr<DeviceWatch> watch_kernel();

}  // namespace fettle::link
