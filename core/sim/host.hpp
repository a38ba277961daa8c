#pragma once
// The computer's end as the simulated device sees it: it reads reports when it polls, and knows from them
// what is down.

#include <array>
#include <cstdint>
#include <functional>
#include <set>
#include <utility>
#include <vector>

#include "core/engine/report.hpp"

namespace fettle::sim {

/// A report that the host read, with the device time at which it did.
struct TakenReport {
    std::uint64_t at_us = 0;
    engine::Endpoint endpoint = engine::Endpoint::keyboard;
    engine::Report report{};
};

/// What the computer makes of the reports: keys, buttons, pointer, wheel. Report protocol and boot protocol.
struct HostView {
    std::uint8_t modifiers = 0;
    std::set<std::uint8_t> keys;
    std::uint8_t buttons = 0;
    std::uint16_t consumer = 0;
    std::int64_t x = 0, y = 0, wheel = 0, pan = 0;
    std::uint32_t roll_overs = 0;
    bool holds_anything() const { return modifiers != 0 || !keys.empty() || buttons != 0 || consumer != 0; }
};

class HostModel {
public:
    /// Hands a report to an endpoint; the one before must have been read. One that was not is overwritten, as
    /// in a microcontroller's endpoint, and counted: a bug of the device.
    void offer(engine::Endpoint endpoint, const engine::Report& report);
    /// One millisecond: reads what its polls find. Gives engine::k_taken_* bits.
    std::uint8_t poll(std::uint64_t now_us);

    /// ms between polls of an endpoint (bInterval), 1 to 255.
    void set_interval_ms(std::uint8_t interval) { interval_ms_ = interval; }
    /// A real computer reads instead of this model, which keeps the accounts: asked at each poll for each
    /// report that waits; false: the computer did not come for it. {}: this model reads by itself again.
    using Reader = std::function<bool(engine::Endpoint, const engine::Report&)>;
    void read_by(Reader reader) { reader_ = std::move(reader); }
    /// A host that is busy, asleep or gone reads nothing.
    void set_reading(bool is_reading) { is_reading_ = is_reading; }
    /// A bit for each Endpoint. A report that was offered before is read as what it was.
    void set_boot_protocol(std::uint8_t bits) { boot_protocol_ = bits; }
    std::uint8_t boot_protocol() const { return boot_protocol_; }
    void set_leds(std::uint8_t leds) { leds_ = leds; }
    std::uint8_t leds() const { return leds_; }
    /// The cable was pulled: nothing is offered any more, the computer lets go of what was down, and will
    /// meet the device in report protocol (HID 1.11, 7.2.6: the default after a reset).
    void unplug();

    const HostView& view() const { return view_; }
    const std::vector<TakenReport>& taken() const { return taken_; }
    void forget_taken() { taken_.clear(); }
    /// Reports that were overwritten before they were read. More than 0 is a bug of the device.
    std::uint32_t overwritten() const { return overwritten_; }

private:
    void read_keyboard(const engine::Report& report);
    void read_pointer(const engine::Report& report, bool is_boot);

    struct Offer {
        engine::Report report{};
        bool is_boot = false;
    };
    std::array<Offer, 2> offered_{};
    Reader reader_;
    HostView view_;
    std::vector<TakenReport> taken_;
    std::uint32_t ticks_ = 0;
    std::uint32_t overwritten_ = 0;
    std::uint8_t interval_ms_ = 1;
    std::uint8_t boot_protocol_ = 0;
    std::uint8_t leds_ = 0;
    bool is_reading_ = true;
};

}  // namespace fettle::sim
