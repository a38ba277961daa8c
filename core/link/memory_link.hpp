#pragma once
// The link to a simulated device: the same frames as over USB, in memory, on the simulated clock.

#include <memory>

#include "core/link/link.hpp"
#include "core/sim/sim_device.hpp"
#include "core/wire/frame.hpp"

namespace fettle::link {

/// Over the raw HID reports or over the serial bytes of a simulated device. Time passes only in receive().
/// The device outlives the link's closing: it may be shared with whoever works its hands. What came before
/// the link was opened is not seen. A cable that was pulled or power that failed closes it for good, plugged
/// again or not.
class MemoryLink : public Link {
public:
    enum class Way { hid, serial };
    MemoryLink(std::shared_ptr<sim::SimDevice> device, Way way);
    ~MemoryLink() override;

    Status send(std::span<const std::uint8_t> message) override;
    Result<std::optional<Message>> receive(std::uint32_t wait_ms) override;
    std::uint64_t now_ms() const override { return device_->now_us() / 1000; }
    std::uint64_t now_us() const override { return device_->now_us(); }
    ChannelKind channel() const override { return ChannelKind::simulated; }

    /// Bytes that came from the device and were no frame.
    std::uint32_t bad_frames() const { return bad_frames_; }

private:
    Status check_open() const;
    std::optional<Message> take_hid();
    std::optional<Message> take_serial();

    std::shared_ptr<sim::SimDevice> device_;
    Way way_;
    wire::Unframer unframer_{};
    std::vector<std::uint8_t> serial_;
    std::size_t serial_at_ = 0;
    std::uint32_t bad_frames_ = 0;
    std::uint16_t start_;  ///< which start of the device this link belongs to
};

}  // namespace fettle::link
