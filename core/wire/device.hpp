#pragma once
// The device without its pins: engine, stored profiles, trial, conversation and telemetry. The firmware puts
// a board around it, core/sim puts memory around it; neither has a second implementation of anything here.

#include "core/engine/engine.hpp"
#include "core/wire/message.hpp"

namespace fettle {
namespace wire {

/// The storage of the board: 1,024 bytes on the ATmega32U4 (two slots of 480 bytes, 64 bytes of headers).
struct Eeprom {
    void* owner;
    /// False while a write is under way (3.4 ms a byte on the board): ask again in a later tick.
    bool (*read)(void* owner, uint16_t at, uint8_t* to, uint8_t count);
    /// Begins to write one byte. False while the one before is under way.
    bool (*write)(void* owner, uint16_t at, uint8_t byte);
    bool (*is_busy)(void* owner);
};
constexpr uint16_t k_eeprom_bytes = 1024;
constexpr uint16_t k_slot_bytes = 480;
constexpr uint8_t k_slots = 2;

enum class Channel : uint8_t { hid = 0, serial = 1 };

struct DeviceIdentity {
    uint8_t serial[8];
    uint8_t board;  ///< as HelloReply::board
    uint32_t features;
    uint16_t boot_id;  ///< anything that differs from start to start
    uint8_t reset_cause;
};

class Device {
public:
    /// Starts: all-released reports first, then the newest whole profile, else the built-in one.
    /// May read storage in several ticks; until then nothing is assigned.
    void start(const Eeprom& eeprom, const DeviceIdentity& identity, uint32_t now_us);

    /// One millisecond: engine, trial clock, one step of storage work.
    void tick(const engine::TickInputs& in, engine::TickOutputs& out);

    /// A whole message came in (HID: the report's length byte and padding already taken off).
    void receive(Channel channel, const uint8_t* message, uint8_t size, uint32_t now_us);
    /// Bytes of the serial channel, framed here. dtr: the host holds the port open; falling ends the
    /// subscription.
    void serial_byte(uint8_t byte, uint32_t now_us);
    void serial_dtr(bool is_up);
    /// Bytes that were no message at all (HID report of a wrong id or length).
    void bad_frame();

    /// The next whole message to send on a channel: replies first, then telemetry. 0: nothing.
    uint8_t send(Channel channel, uint8_t* to, uint32_t now_us);

    const engine::Engine& engine() const;
    TrialReply trial() const;
    HelloReply hello() const;
    InfoReply info() const;
    bool is_storage_idle() const;  ///< nothing waits to be written

private:
    // To be laid out by the implementation.
};

}  // namespace wire
}  // namespace fettle
