#pragma once
// A device with its storage and a host in memory. Fake clock: a tick is a millisecond.

#include <deque>
#include <optional>
#include <vector>

#include "core/wire/device.hpp"
#include "core/wire/reply.hpp"
#include "core/wire/request.hpp"
#include "tests/wire/support/fake_eeprom.hpp"
#include "tests/wire/support/images.hpp"

namespace fettle::test {

using wire::Channel;
using wire::MessageType;

struct Rig {
    explicit Rig(bool begin = true);
    Rig(const Rig&) = delete;

    /// Power on, with the same storage; `ticks`: until the profile runs (a start from storage takes some 40).
    void start(int ticks = 100);
    void tick(int ticks = 1, uint8_t commands = 0);

    void switch_to(uint8_t line, bool closed);  ///< an edge in the next tick; closed is the low level
    void press(uint8_t line, int ticks = 30);   ///< closes, waits, opens, waits

    /// Sends a message and ticks until its answer came, at most `patience` ticks. Empty: none came. Telemetry
    /// that comes in the meantime is collected.
    std::optional<Bytes> ask(const Bytes& message, Channel channel = Channel::hid, int patience = 3000);
    /// The next message on a channel, if any; telemetry is collected and passed over.
    std::optional<Bytes> fetch(Channel channel);
    void drain(Channel channel);

    // --- whole conversations; each gives the answer, which may be an error
    Bytes begin_write(const Bytes& image);
    Bytes write_all(const Bytes& image, size_t block = wire::k_block_max);
    Bytes finish(const Bytes& image, uint16_t seconds = 0);
    Bytes push(const Bytes& image, uint16_t seconds = 0);
    Bytes keep(uint16_t id, uint32_t crc, uint8_t flags = wire::k_keep_override);
    Bytes revert(uint16_t id, uint32_t crc);
    Bytes extend(uint16_t id, uint32_t crc, uint16_t seconds);
    /// push and keep, by override.
    void install(const Bytes& image);
    Bytes read_back(uint8_t slot, uint16_t size);
    wire::HelloReply hello();
    wire::TrialReply trial();

    /// `release` and some quiet: nothing is held, in the engine and in the last reports.
    bool ends_released();
    bool is_all_up() const;

    FakeEeprom eeprom;
    wire::DeviceIdentity identity = {};
    wire::Device device;
    uint32_t now_us = 0;
    uint8_t boot_protocol = 0;
    std::vector<engine::Edge> edges;
    engine::Report last[2] = {};
    uint8_t taken = 0;
    uint8_t next_id = 1;
    std::vector<Bytes> telemetry;
    bool host_reads = true;
    bool host_takes_reports = true;
};

/// Of an answer. The type of a reply without its reply bit.
uint8_t type_of(const Bytes& message);
bool is_error(const Bytes& message, wire::WireError code);
wire::ErrorReply error_of(const Bytes& message);
wire::TrialReply trial_of(const Bytes& message);
Bytes request(uint8_t size, const uint8_t* bytes);

/// All events of collected telemetry, in order; fails the test where a batch does not decode.
std::vector<engine::Event> events_of(const std::vector<Bytes>& telemetry);

}  // namespace fettle::test
