#pragma once
// The device without the hardware: wire::Device with an EEPROM, hands and a computer, all in memory, on a
// clock of its own: nothing happens but in advance_ms(), so hours run in milliseconds and every run is the
// same.

#include <array>
#include <cstdint>
#include <deque>
#include <functional>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "core/sim/eeprom.hpp"
#include "core/sim/hands.hpp"
#include "core/sim/host.hpp"
#include "core/wire/device.hpp"

namespace fettle::sim {

struct SimOptions {
    std::uint32_t seed = 1;
    std::string serial = "SIM00001";  ///< up to 8 ASCII characters
    bool operator==(const SimOptions&) const = default;
};

class SimDevice {
public:
    /// Powered now. eeprom: what it held before (nullptr: erased).
    explicit SimDevice(const SimOptions& options = {},
                       const std::array<std::uint8_t, wire::k_eeprom_bytes>* eeprom = nullptr);
    SimDevice(const SimDevice&) = delete;
    SimDevice& operator=(const SimDevice&) = delete;

    /// Lets time pass, one tick a millisecond. Splitting a time line into other calls changes nothing.
    void advance_ms(std::uint32_t ms);
    std::uint64_t now_us() const { return now_us_; }

    Hands& hands() { return hands_; }
    const Hands& hands() const { return hands_; }
    HostModel& host() { return host_; }
    const HostModel& host() const { return host_; }
    EepromModel& eeprom() { return eeprom_; }
    const EepromModel& eeprom() const { return eeprom_; }
    const wire::Device& device() const { return *device_; }

    /// A HID report from the host (64 bytes with its id) as the raw interface gets it. It waits (NAK on the
    /// bus) while the device has no room for an answer and while the bus sleeps.
    void hid_out(std::span<const std::uint8_t> report);
    /// From now on told of every report that hid_out() takes, with its time.
    using Recorder = std::function<void(std::uint64_t at_us, std::span<const std::uint8_t> report)>;
    void record_to(Recorder recorder) { recorder_ = std::move(recorder); }
    /// The next report of the raw interface, if one waits: 64 bytes with its id. The computer's kernel keeps
    /// the first 63 that nobody reads (Linux 6.1, hidraw) and drops what comes after.
    bool hid_in(std::vector<std::uint8_t>& report);
    std::uint32_t hid_dropped() const { return hid_dropped_; }
    /// A real kernel stands behind hid_in(): one report waits until it is fetched, as in a microcontroller's
    /// endpoint, and none is dropped.
    void hold_reports(bool holds) { holds_reports_ = holds; }
    /// What the device has to say is there at once, not at its next tick, and what waits for it is taken: a
    /// bus that is quicker than USB.
    void exchange();
    /// The serial channel, as bytes; both ways wait as above. 4,096 bytes are kept unread (Linux's own size
    /// of a tty buffer), then the device waits.
    void serial_out(std::span<const std::uint8_t> bytes);
    std::vector<std::uint8_t> serial_in();
    void set_dtr(bool is_up);

    /// Power fails now and comes back at once: RAM is lost, what the EEPROM held stays; a byte being written
    /// is torn. The computer sees it come and go: channels that were open are closed.
    void cut_power(Torn torn = Torn::old_value);
    /// The cable is pulled: no reports, no channels, no power for this board.
    void pull_cable();
    void plug_cable();
    bool is_plugged() const { return is_plugged_; }
    /// How often it was powered, the first time included. A channel lives no longer than that.
    std::uint16_t starts() const { return boot_id_; }
    /// The computer sleeps or wakes.
    void set_suspended(bool is_suspended) { is_suspended_ = is_suspended; }

private:
    void start(std::uint8_t reset_cause);
    void tick();
    bool feed(engine::TickInputs& in);
    void collect_messages();
    void deliver();
    static bool take_injection(void* owner, std::uint8_t line, const wire::InjectStep* steps,
                               std::uint8_t count);

    SimOptions options_;
    EepromModel eeprom_;
    Hands hands_;
    HostModel host_;
    std::unique_ptr<wire::Device> device_;
    Recorder recorder_;
    std::deque<std::vector<std::uint8_t>> hid_out_;  ///< waits until the device takes it (NAK on the bus)
    std::deque<std::uint8_t> serial_out_;
    std::deque<std::vector<std::uint8_t>> hid_in_;
    std::vector<std::uint8_t> serial_in_;
    std::vector<engine::Edge> edges_;  ///< of this tick
    std::uint32_t hid_dropped_ = 0;
    std::uint64_t now_us_ = 0;
    std::uint64_t injected_us_ = 0;  ///< when the last injected edge happens
    std::uint16_t boot_id_ = 0;
    bool is_first_tick_ = true;
    bool is_plugged_ = true;
    bool is_suspended_ = false;
    bool holds_reports_ = false;
};

}  // namespace fettle::sim
