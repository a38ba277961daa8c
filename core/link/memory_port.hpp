#pragma once
// One channel of a simulated device as a port: its raw HID reports or its serial bytes, on the simulated
// clock.

#include <memory>
#include <vector>

#include "core/link/port.hpp"
#include "core/sim/sim_device.hpp"

namespace fettle::link {

/// Time passes only in read(), a millisecond at a time. The device outlives the port: it may be shared with
/// whoever works its hands. What came before the port was made is not seen. A cable that was pulled or power
/// that failed closes it for good, plugged again or not. DTR is up from making to destroying it.
class MemoryPort : public Port {
public:
    enum class Way { hid, serial };
    MemoryPort(std::shared_ptr<sim::SimDevice> device, Way way);
    ~MemoryPort() override;

    Status write(std::span<const std::uint8_t> bytes) override;
    Result<std::size_t> read(std::span<std::uint8_t> to, std::uint32_t wait_ms) override;
    std::uint64_t now_us() const override { return device_->now_us(); }

    /// Errors: closed (detail: the cable is out, or it started anew).
    Status check_open() const;

private:
    std::size_t take(std::span<std::uint8_t> to);

    std::shared_ptr<sim::SimDevice> device_;
    Way way_;
    std::vector<std::uint8_t> serial_;  ///< came from the device and was not read yet: from serial_at_ on
    std::size_t serial_at_ = 0;
    std::uint16_t start_;  ///< which start of the device this port belongs to
};

}  // namespace fettle::link
