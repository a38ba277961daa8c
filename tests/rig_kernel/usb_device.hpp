#pragma once
// The simulated device as a USB device: control requests and packets at its endpoints, with the descriptors
// that ship. Knows nothing of what carries them. Owned by one thread (cable.hpp).

#include <array>
#include <cstdint>
#include <deque>
#include <functional>
#include <span>
#include <string>
#include <vector>

#include "core/sim/sim_device.hpp"
#include "core/wire/usb_descriptors.hpp"

namespace fettle::rig {

using Bytes = std::vector<std::uint8_t>;

/// What a control request asks. Source: USB 2.0, 9.3.
struct SetupPacket {
    std::uint8_t request_type = 0, request = 0;
    std::uint16_t value = 0, index = 0, length = 0;
    bool is_to_host() const { return (request_type & 0x80) != 0; }
};

/// A SET_REPORT of an output report on the raw interface: that is how the host sends.
bool is_raw_request(const SetupPacket& setup);

/// The computer's end of the endpoints.
class Bus {
public:
    virtual ~Bus() = default;
    /// How many bytes the computer waits for at an endpoint; 0: it does not wait (NAK).
    virtual std::size_t wanted(std::uint8_t endpoint) const = 0;
    /// Gives a packet to a computer that waits. More than it waits for is a babble, and told as one.
    virtual void give(std::uint8_t endpoint, std::span<const std::uint8_t> packet) = 0;
};

/// A packet that leaves at its time, device's clock.
struct TimedPacket {
    std::uint64_t at_us = 0;
    Bytes bytes;
};

class UsbDevice {
public:
    /// device outlives this; serial: what the string descriptor says.
    UsbDevice(sim::SimDevice& device, std::string serial);
    ~UsbDevice();
    UsbDevice(const UsbDevice&) = delete;
    UsbDevice& operator=(const UsbDevice&) = delete;

    /// Another simulated device behind the same plug, which the computer does not notice. It outlives this.
    void use(sim::SimDevice& device, std::string serial);
    /// Runs something else from the next plugging in on: the same ids and strings, a keyboard and no more.
    void set_foreign(bool is_foreign) { is_foreign_ = is_foreign; }
    /// Plugged in: nothing waits, nothing is configured. nullptr: unplugged.
    void connect(Bus* bus);

    /// False: refused (STALL). answer: for requests to the host, may be longer than the host wants.
    bool control(const SetupPacket& setup, std::span<const std::uint8_t> data, Bytes& answer);
    /// A packet from the host to an endpoint. False: there is no such one.
    bool put(std::uint8_t endpoint, std::span<const std::uint8_t> packet);
    /// Sends what waits and is wanted. After each tick and each request.
    void serve();
    /// Another report than the engine's, at the keyboard or the pointer endpoint.
    void craft(std::uint8_t endpoint, Bytes report) { crafted_.push_back({endpoint, std::move(report)}); }
    /// True: the computer has dealt with every report so far and waits for more, at both endpoints.
    bool is_read_up() const;
    /// True: since the last call a report of the engine found nobody waiting for it.
    bool take_starved();

    /// Told of each report of the raw interface before it leaves; says what leaves instead, and when.
    using Bender = std::function<std::vector<TimedPacket>(std::uint64_t now_us, const Bytes& report)>;
    void bend_by(Bender bender) { bender_ = std::move(bender); }
    /// Answers without waiting for the device's tick.
    void set_instant(bool is_instant) { is_instant_ = is_instant; }
    bool is_configured() const { return is_configured_; }

private:
    struct Crafted {
        std::uint8_t endpoint;
        Bytes report;
    };
    bool standard(const SetupPacket& setup, Bytes& answer);
    bool descriptor(const SetupPacket& setup, Bytes& answer) const;
    Bytes configuration() const;
    bool string_descriptor(std::uint8_t number, Bytes& answer) const;
    bool hid(const SetupPacket& setup, std::span<const std::uint8_t> data, Bytes& answer);
    bool set_report(const SetupPacket& setup, std::span<const std::uint8_t> data);
    bool set_protocol(const SetupPacket& setup);
    bool serial_port(const SetupPacket& setup, std::span<const std::uint8_t> data, Bytes& answer);
    bool take_report(engine::Endpoint endpoint, const engine::Report& report);
    void serve_raw();
    void serve_serial();

    void let_go();

    sim::SimDevice* device_;
    std::string serial_;
    Bus* bus_ = nullptr;
    Bender bender_;
    std::deque<Crafted> crafted_;
    std::deque<TimedPacket> raw_;
    std::deque<std::uint8_t> serial_bytes_;
    std::array<Bytes, 3> last_{};  ///< report that left last, by interface
    std::array<std::uint8_t, 7> line_coding_{0x00, 0xC2, 0x01, 0x00, 0, 0, 8};  ///< 115200, 8 bits, no parity
    std::array<std::uint8_t, 3> idle_{};
    bool is_configured_ = false, can_wake_ = false, is_dtr_up_ = false;
    bool is_instant_ = false, is_starved_ = false, is_foreign_ = false;
};

}  // namespace fettle::rig
