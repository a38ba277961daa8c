#pragma once
// The link to a simulated device: the same framings as over USB, over a port in memory, on the simulated
// clock.

#include <memory>

#include "core/link/framed_link.hpp"
#include "core/link/memory_port.hpp"

namespace fettle::link {

/// Over the raw HID reports or over the serial bytes of a simulated device. Time passes only in receive().
/// The device outlives the link's closing: it may be shared with whoever works its hands. What came before
/// the link was opened is not seen. A cable that was pulled or power that failed closes it for good, plugged
/// again or not; nothing that had arrived is handed on after that.
class MemoryLink : public Link {
public:
    using Way = MemoryPort::Way;
    MemoryLink(std::shared_ptr<sim::SimDevice> device, Way way);

    Status send(std::span<const std::uint8_t> message) override;
    Result<std::optional<Message>> receive(std::uint32_t wait_ms) override;
    std::uint64_t now_ms() const override { return now_us() / 1000; }
    std::uint64_t now_us() const override { return port_->now_us(); }
    ChannelKind channel() const override { return ChannelKind::simulated; }

    /// Reports and frames that came from the device and were none.
    std::uint32_t bad_frames() const { return framed_->bad_frames(); }

private:
    MemoryLink(std::unique_ptr<MemoryPort> port, Way way);

    MemoryPort* port_;  ///< owned by framed_
    std::unique_ptr<FramedLink> framed_;
};

}  // namespace fettle::link
