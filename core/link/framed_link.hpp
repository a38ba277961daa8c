#pragma once
// Whole messages over a port: the two framings of core/wire/frame.hpp. receive() never waits longer than it
// was told to, whatever comes; it may be a millisecond early when what came was no message.

#include <memory>

#include "core/link/link.hpp"
#include "core/link/port.hpp"
#include "core/wire/frame.hpp"

namespace fettle::link {

/// What both framings have: a port, its clock, and a count of what was no frame.
class FramedLink : public Link {
public:
    std::uint64_t now_ms() const override { return port_->now_us() / 1000; }
    std::uint64_t now_us() const override { return port_->now_us(); }
    ChannelKind channel() const override { return as_; }
    /// Reports or frames that were none of ours.
    std::uint32_t bad_frames() const { return bad_frames_; }

protected:
    /// as: what channel() says (a simulated device's HID interface is `simulated`).
    FramedLink(std::unique_ptr<Port> port, ChannelKind as) : port_(std::move(port)), as_(as) {}

    std::unique_ptr<Port> port_;
    ChannelKind as_;
    std::uint32_t bad_frames_ = 0;
};

/// Over numbered reports of the raw HID interface, all of one length. A report that is none of ours is
/// counted, never obeyed.
class HidLink : public FramedLink {
public:
    explicit HidLink(std::unique_ptr<Port> port, ChannelKind as = ChannelKind::hid);

    Status send(std::span<const std::uint8_t> message) override;
    Result<std::optional<Message>> receive(std::uint32_t wait_ms) override;
};

/// Over a byte stream: COBS and CRC-16. After any garbage the next zero finds the beat again.
class SerialLink : public FramedLink {
public:
    explicit SerialLink(std::unique_ptr<Port> port, ChannelKind as = ChannelKind::serial);

    Status send(std::span<const std::uint8_t> message) override;
    Result<std::optional<Message>> receive(std::uint32_t wait_ms) override;

private:
    std::optional<Message> take();

    wire::Unframer unframer_{};
    std::vector<std::uint8_t> bytes_;  ///< read, not unframed yet: from at_ on
    std::size_t at_ = 0;
};

}  // namespace fettle::link
