#pragma once
// Whole messages over a port: the two framings of core/wire/frame.hpp. receive() never waits longer than it
// was told to, whatever comes; it may be a millisecond early when what came was no message.

#include <memory>

#include "core/link/link.hpp"
#include "core/link/port.hpp"
#include "core/wire/frame.hpp"

namespace fettle::link {

/// Over numbered reports of the raw HID interface, all of one length. A report that is none of ours is
/// counted, never obeyed.
class HidLink : public Link {
public:
    /// as: what channel() says (a simulated device's HID interface is `simulated`).
    explicit HidLink(std::unique_ptr<Port> port, ChannelKind as = ChannelKind::hid);

    Status send(std::span<const std::uint8_t> message) override;
    Result<std::optional<Message>> receive(std::uint32_t wait_ms) override;
    std::uint64_t now_ms() const override { return port_->now_us() / 1000; }
    std::uint64_t now_us() const override { return port_->now_us(); }
    ChannelKind channel() const override { return as_; }
    /// Reports that were no frame.
    std::uint32_t bad_frames() const { return bad_frames_; }

private:
    std::unique_ptr<Port> port_;
    ChannelKind as_;
    std::uint32_t bad_frames_ = 0;
};

/// Over a byte stream: COBS and CRC-16. After any garbage the next zero finds the beat again.
class SerialLink : public Link {
public:
    explicit SerialLink(std::unique_ptr<Port> port, ChannelKind as = ChannelKind::serial);

    Status send(std::span<const std::uint8_t> message) override;
    Result<std::optional<Message>> receive(std::uint32_t wait_ms) override;
    std::uint64_t now_ms() const override { return port_->now_us() / 1000; }
    std::uint64_t now_us() const override { return port_->now_us(); }
    ChannelKind channel() const override { return as_; }
    /// Frames that were none.
    std::uint32_t bad_frames() const { return bad_frames_; }

private:
    std::optional<Message> take();

    std::unique_ptr<Port> port_;
    ChannelKind as_;
    wire::Unframer unframer_{};
    std::vector<std::uint8_t> bytes_;  ///< read, not unframed yet: from at_ on
    std::size_t at_ = 0;
    std::uint32_t bad_frames_ = 0;
};

}  // namespace fettle::link
