#pragma once
// What hidapi, libserialport and the simulated device have in common: bytes out, bytes in, on a clock.
// Owned by one I/O thread; nothing here may be called from another.

#include <cstdint>
#include <span>

#include "core/base/result.hpp"

namespace fettle::link {

/// One open channel of a device, below framing.
class Port {
public:
    Port() = default;
    Port(const Port&) = delete;
    Port& operator=(const Port&) = delete;
    virtual ~Port() = default;

    /// A report (HID: k_hid_report_bytes with its id) or bytes of a stream, all of them. May block: a device
    /// that never takes a report holds hidapi for 5.1 s. Errors: closed (it is gone), timed_out, io.
    virtual Status write(std::span<const std::uint8_t> bytes) = 0;
    /// The next report, or what the stream has, up to the size of `to`; 0 after `wait_ms` without any.
    /// Errors: closed, io.
    virtual Result<std::size_t> read(std::span<std::uint8_t> to, std::uint32_t wait_ms) = 0;
    /// us; real time, or the simulated device's own.
    virtual std::uint64_t now_us() const = 0;
};

}  // namespace fettle::link
