#pragma once
// One way to a device: whole messages out, whole messages in, or closed with a reason.
// Owned by one I/O thread; nothing here may be called from another.

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/base/result.hpp"

namespace fettle::link {

enum class ChannelKind { simulated, hid, serial };

/// One message as core/wire/message.hpp defines it: type, request id, body. 2 to 62 bytes.
using Message = std::vector<std::uint8_t>;

/// What is attached, before it is opened. One record a device, not one a channel.
struct Attached {
    ChannelKind channel = ChannelKind::simulated;  ///< that it is opened by
    std::string path;                              ///< how to open it: a device node, or "sim"
    std::string
        serial;  ///< serial number as the system knows it: a stranger's bytes, made printable; may be empty
    std::string product;  ///< the same
    std::string
        place{};  ///< the socket that it is plugged into, as the system names it ("1-1"); may be empty
    std::string fallback_path{};  ///< the serial channel of the same device beside its HID channel; "": none
    bool is_accessible = true;    ///< false: the system does not let this user open it
    bool operator==(const Attached&) const = default;
};

class Link {
public:
    Link() = default;
    Link(const Link&) = delete;
    Link& operator=(const Link&) = delete;
    virtual ~Link() = default;

    /// Errors: closed (the device is gone; `detail` says how that was seen), io, too_large.
    virtual Status send(std::span<const std::uint8_t> message) = 0;
    /// The next message, or nothing after `wait_ms` of this link's clock. Errors: closed, io.
    virtual Result<std::optional<Message>> receive(std::uint32_t wait_ms) = 0;
    /// This link's clock, ms. Real time, or the simulated device's own.
    virtual std::uint64_t now_ms() const = 0;
    /// The same clock as finely as the link knows it, us: for round trips.
    virtual std::uint64_t now_us() const { return now_ms() * 1000; }
    virtual ChannelKind channel() const = 0;

    /// Grows each time that the link goes on over another channel of the same device: what was asked and not
    /// answered must be asked again, and telemetry subscribed to anew.
    virtual std::uint32_t changeovers() const { return 0; }
    /// The session has no answer over this channel. True: the link goes on over another one.
    virtual bool change_over() { return false; }
};

}  // namespace fettle::link
