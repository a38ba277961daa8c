#pragma once
// A simulated device on a USB cable to this machine's own kernel: plugged into a socket of the vhci driver,
// in real time, one tick a millisecond. Root only; meant for a guest that runs nothing else.

#include <array>
#include <condition_variable>
#include <cstdint>
#include <functional>
#include <memory>
#include <mutex>
#include <string>
#include <thread>

#include "core/base/clock.hpp"
#include "core/sim/sim_device.hpp"
#include "tests/rig_kernel/cable_nodes.hpp"
#include "tests/rig_kernel/usb_device.hpp"
#include "tests/rig_kernel/usbip_stream.hpp"

namespace fettle::rig {

struct CableOptions {
    int port = 0;  ///< socket, 0 to 7
    sim::SimOptions device{};
    const std::array<std::uint8_t, wire::k_eeprom_bytes>* eeprom = nullptr;  ///< nullptr: erased
};

/// Thread: any for all functions, but one at a time. One thread inside owns device and stream between calls.
class Cable {
public:
    /// Not plugged in yet.
    explicit Cable(const CableOptions& options);
    /// Pulls.
    ~Cable();
    Cable(const Cable&) = delete;
    Cable& operator=(const Cable&) = delete;

    /// Plugs in; returns when the kernel has taken the socket, long before there are nodes. False: it did
    /// not.
    bool plug();
    enum class Pull : std::uint8_t {
        clean,  ///< as a cable: for 30 ms everything fails, then the hub sees it
        abrupt  ///< the stream just ends: transfers hang until the kernel's own limits
    };
    /// Returns when the driver has let go of the socket, before its nodes are gone. (Between the stream's end
    /// and that, Linux 6.1 takes requests that nobody answers: they would hang for 5 s.)
    void pull(Pull how = Pull::clean);
    bool is_plugged();
    /// The same, and returns when all nodes are there or none is. False: not within 20 s.
    bool plug_and_wait();
    bool pull_and_wait(Pull how = Pull::clean);
    const std::string& place() const { return place_; }
    Nodes nodes() const { return nodes_at(place_); }

    /// Runs `look` while the device's time stands still.
    void with(const std::function<void(sim::SimDevice&)>& look);
    void with_usb(const std::function<void(UsbDevice&)>& look);
    /// Lets device time pass as quickly as the computer reads the reports.
    void pass_ms(std::uint32_t ms);
    /// Stops the device's clock; with set_instant() it answers all the same. pass_ms() goes on.
    void hold_time(bool holds);
    /// Another device at the end of the cable. Plugged in it is exchanged in secret: same address, same
    /// strings as the computer has read them. The socket (port) stays.
    void exchange_device(const CableOptions& options);
    /// Answers at once instead of at the device's next tick.
    void set_instant(bool is_instant);
    /// Real time that the device's clock did not follow, because this machine gave its thread none. us.
    std::uint64_t late_us() const { return late_us_; }

    /// What becomes of each control request from now on; {}: all are served. Runs on the cable's thread.
    void decide_by(UsbIpStream::Decider decider);
    /// The next pull that a Fate causes is followed by plugging in again.
    void replug_after_pull();
    /// Bytes that the device's raw channel sent may be bent: UsbDevice::bend_by().
    void bend_by(UsbDevice::Bender bender);

private:
    void run();
    void turn();
    void take_requests();
    void tick();
    void tick_in_time(std::int64_t now_us);
    void tick_quickly();
    void attach();
    void begin_pull(std::int64_t delay_us);
    void end_pull();
    bool is_socket_free() const;
    std::int64_t wait_us(std::int64_t now_us) const;
    void wake() const;
    void wait_for(const std::function<bool()>& is_so);

    const SystemClock clock_;
    const std::string place_;
    std::mutex mutex_;
    std::condition_variable changed_;
    int port_;
    int wake_;
    // all below: under mutex_
    std::unique_ptr<sim::SimDevice> device_;
    std::unique_ptr<UsbDevice> usb_;
    std::unique_ptr<UsbIpStream> stream_;
    UsbIpStream::Decider decider_;
    bool wants_plug_ = false, wants_replug_ = false, is_leaving_ = false, is_over_ = false;
    bool is_starved_ = false, holds_time_ = false;
    std::int64_t pull_at_us_ = 0;  ///< while it is failing: when the stream ends
    std::int64_t plug_until_us_ = 0;
    std::int64_t next_tick_us_ = 0;
    std::uint32_t quick_ticks_ = 0;
    std::uint64_t late_us_ = 0;
    std::thread thread_;
};

}  // namespace fettle::rig
