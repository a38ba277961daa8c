#pragma once
// The transfers of one attached device, as the kernel's vhci driver carries them over a stream socket: the
// second phase of USB/IP (submit, return, unlink) and nothing else. Owned by one thread (cable.hpp).
// Source: Linux documentation, "USB/IP protocol"; numbers are big-endian.

#include <cstdint>
#include <deque>
#include <functional>

#include "tests/rig_kernel/usb_device.hpp"

namespace fettle::rig {

/// What becomes of a control request.
enum class Fate : std::uint8_t {
    serve,         ///< the device answers
    stall,         ///< refused
    never,         ///< neither taken nor refused: NAK until the computer gives up
    lost,          ///< acknowledged, and the device never sees it
    pulled,        ///< the cable is out before the device has it
    served_pulled  ///< the device has it, and the cable is out before the computer knows
};

class UsbIpStream : public Bus {
public:
    using Decider = std::function<Fate(const SetupPacket&, std::span<const std::uint8_t> data)>;
    /// socket: closed by this. device outlives this.
    UsbIpStream(int socket, UsbDevice& device);
    ~UsbIpStream() override;
    UsbIpStream(const UsbIpStream&) = delete;
    UsbIpStream& operator=(const UsbIpStream&) = delete;

    int socket() const { return socket_; }
    /// Takes one command; waits for the rest of one that has begun. False: the kernel has closed the stream.
    bool step(const Decider& decide);
    /// The cable is out: what is outstanding fails, and so does everything that still comes.
    void fail_all();
    bool is_failing() const { return is_failing_; }

    std::size_t wanted(std::uint8_t endpoint) const override;
    void give(std::uint8_t endpoint, std::span<const std::uint8_t> packet) override;

private:
    struct Waiting {
        std::uint32_t number = 0;
        std::uint32_t room = 0;
    };
    struct Submit {
        std::uint32_t number = 0;
        bool is_to_host = false;
        std::uint8_t endpoint = 0;
        std::uint32_t length = 0;
        SetupPacket setup{};
        Bytes data;
    };
    bool read_all(void* to, std::size_t count) const;
    void submit(const Submit& urb, const Decider& decide);
    void control(const Submit& urb, const Decider& decide);
    void serve_control(const Submit& urb);
    void unlink(std::uint32_t number, std::uint32_t victim);
    void answer(std::uint32_t command, std::uint32_t number, int status, std::size_t actual,
                std::span<const std::uint8_t> data = {}) const;

    int socket_;
    UsbDevice& device_;
    std::array<std::deque<Waiting>, 16> waiting_;  ///< by endpoint number; 0: control requests without end
    bool is_failing_ = false;
};

}  // namespace fettle::rig
