#pragma once
// What host and device say to each other. One message is at most 62 bytes on either channel:
//   0 type u8    1 request id u8 (the reply carries the same; telemetry: 0)    2 body
// Raw HID: report id 1, length byte (of the message), the message, padded with 0 to 62. Serial: COBS(message
// + CRC-16/ CCITT-FALSE, low byte first) between 0 bytes. A body may be longer than the version that reads it
// knows: the rest is ignored. A shorter one is answered `malformed`. Numbers are little-endian. A request is
// answered once, on the channel by which it came; requests are idempotent, so a host may repeat one. An
// unknown request is answered by `error`; an `error` is never answered; unparseable bytes are counted, never
// answered.

#include "core/engine/event.hpp"
#include "core/wire/image.hpp"

namespace fettle {
namespace wire {

constexpr uint8_t k_message_max = 62;
constexpr uint8_t k_message_head = 2;
constexpr uint8_t k_body_max = k_message_max - k_message_head;
constexpr uint8_t k_hid_report_id = 1;
constexpr uint8_t k_hid_report_bytes = 64;
constexpr uint8_t k_reply = 0x80;     ///< set in the type of a reply
constexpr uint16_t k_block_max = 48;  ///< image bytes in one read or write

enum class MessageType : uint8_t {
    hello = 0x01,  ///< host's contract version u16 -> HelloReply
    ping = 0x02,   ///< host stamp u32 -> host stamp u32, received at u32 us, sent at u32 us
    info = 0x03,   ///< -> InfoReply (health)
    read = 0x04,   ///< slot u8, offset u32, count u8 -> slot, offset, bytes
    begin_write =
        0x05,       ///< size u16, image CRC u32: invalidates the spare slot -> bytes that will be written u16
    write = 0x06,   ///< offset u32, bytes (may repeat) -> offset u32, count u8
    finish = 0x07,  ///< image CRC u32, trial seconds u16 (0: the profile's own): verifies, loads, starts the
                    ///< trial -> TrialReply
    keep = 0x08,    ///< trial id u16, image CRC u32, flags u8 (bit 0: a helper overrides the proof knowingly)
                    ///< -> TrialReply
    revert = 0x09,  ///< trial id u16, image CRC u32 -> TrialReply
    extend = 0x0A,  ///< trial id u16, image CRC u32, seconds u16 from now -> TrialReply
    trial = 0x0B,   ///< -> TrialReply
    release = 0x0C,      ///< release everything; overtakes what waits -> nothing
    subscribe = 0x0D,    ///< flags u8 (k_subscribe_*) -> boot id u16, next sequence u16. One subscriber.
    unsubscribe = 0x0E,  ///< -> nothing
    snapshot = 0x0F,     ///< a full snapshot follows in the telemetry -> nothing
    set_mode = 0x10,     ///< mode u8 -> mode u8
    set_variant = 0x11,  ///< variant u8 -> variant u8
    inject = 0x12,   ///< simulated device only: line u8, then up to 19 times: level u8, after u16 us of the
                     ///< one before
    display = 0x13,  ///< row u8 -> row u8, rows u8, columns u8, text
    locked = 0x20,   ///< reserved: write lock
    select_slot = 0x21,   ///< reserved
    enter_loader = 0x22,  ///< reserved: only after a press on the device
    telemetry = 0x40,     ///< device to host, unasked: see TelemetryHead
    error = 0x7F,         ///< device to host: ErrorReply
};

constexpr uint8_t reply_type(MessageType type) {
    return static_cast<uint8_t>(static_cast<uint8_t>(type) | k_reply);
}

constexpr uint8_t k_subscribe_usages = 1;  ///< consent: key usages, texts and grid places are sent unmasked
constexpr uint8_t k_subscribe_edges = 2;   ///< raw edges too

/// HelloReply. Features are bits; a newer device may have more.
constexpr uint32_t k_feature_trial = 1;
constexpr uint32_t k_feature_inject = 2;
constexpr uint32_t k_feature_display = 4;
constexpr uint32_t k_feature_serial = 8;
constexpr uint32_t k_feature_variants = 16;
struct HelloReply {
    uint16_t contract_version;
    uint16_t engine_build;
    uint8_t image_format;
    uint32_t features;
    uint8_t slots;        ///< stored profiles that fit at once (kept + spare)
    uint16_t slot_bytes;  ///< largest image
    uint16_t mirror_bytes;
    uint8_t max_inputs, max_modes, max_variants;
    uint8_t current_slot;  ///< 0xFF: the built-in profile runs
    uint16_t image_size;   ///< of what runs now (on trial or kept)
    uint32_t image_crc;
    uint8_t profile_id[k_profile_id_bytes];
    uint16_t profile_version;
    uint16_t boot_id;   ///< changes with every start
    uint8_t serial[8];  ///< ASCII, 0-padded
    uint8_t board;      ///< 0 simulated, 1 ATmega32U4
};
constexpr uint8_t k_slot_built_in = 0xFF;
constexpr uint8_t k_slot_spare = 0xFE;    ///< for `read`: the slot that is being written or is on trial
constexpr uint8_t k_slot_current = 0xFD;  ///< for `read`: what runs now

/// Health, all counted since start, saturating.
struct InfoReply {
    uint32_t up_s;
    uint16_t frames_in, frames_bad;  ///< messages decoded; bytes that were none
    uint16_t telemetry_lost;         ///< events that did not fit
    uint16_t repeats_lost;           ///< infrared
    uint16_t ir_noise;               ///< bursts of edges that were noise
    uint16_t ir_frames;
    uint32_t storage_writes;  ///< bytes ever written to the most written cell of the storage (wear)
    uint8_t resets;           ///< starts ever, saturating
    uint8_t reset_cause;      ///< 0 power, 1 watchdog, 2 brown-out, 3 pin, 4 unknown
    uint16_t faults;          ///< EventKind::fault seen
    uint8_t held_limit;       ///< holds that were ended by their longest hold
};

enum class TrialPhase : uint8_t {
    none = 0,
    running = 1,
    kept = 2,
    reverted = 3,
    refused = 4,
    expired = 5,
    extended = 6
};
struct TrialReply {
    TrialPhase phase;
    uint16_t id;  ///< 0: there was none since start
    uint32_t image_crc;
    uint16_t seconds_left;
    uint8_t proof, proof_needed;  ///< engine's k_proof_*
};

enum class WireError : uint8_t {
    unknown_type = 1,
    malformed = 2,     ///< too short, or a field out of range
    busy = 3,          ///< a trial runs, or storage is being written: try again
    no_trial = 4,      ///< no such trial (id or CRC differ)
    unproven = 5,      ///< keep: the profile on trial was not used enough (proof, proof_needed in the detail)
    bad_image = 6,     ///< detail: ImageFault, tag
    out_of_order = 7,  ///< write before begin_write, or finish before every byte was there
    too_large = 8,     ///< detail: slot bytes u16
    unsupported = 9,   ///< known, but not on this device (inject, reserved types)
    verify = 10,       ///< storage gave back other bytes than were written
};
struct ErrorReply {
    uint8_t request;  ///< type that caused it
    WireError code;
    uint8_t detail[2];
};

/// Telemetry body: boot id u16, sequence u16 (one a batch), first stamp u32 us, then events: delta u16 in
/// units of 4 us (saturated; k_delta_long: u32 us follows), kind u8, payload (engine::event_size). Batches
/// span at most 8 ms; a heartbeat (a batch with a snapshot event) comes after 1 s of silence. After events
/// were lost the next batch starts with an EventKind::lost, then a snapshot.
constexpr uint8_t k_telemetry_head = 8;
constexpr uint16_t k_delta_long = 0xFFFF;

// --- codecs, both sides
// -----------------------------------------------------------------------------------------

/// Each writes a whole message (head and body) and gives its size.
uint8_t put_hello(uint8_t* to, uint8_t id, const HelloReply& reply);
uint8_t put_info(uint8_t* to, uint8_t id, const InfoReply& reply);
uint8_t put_trial(uint8_t* to, MessageType type, uint8_t id, const TrialReply& reply);
uint8_t put_error(uint8_t* to, uint8_t id, const ErrorReply& reply);

/// Each reads a body (past the head). False: too short or out of range.
bool get_hello(const uint8_t* body, uint8_t size, HelloReply& out);
bool get_info(const uint8_t* body, uint8_t size, InfoReply& out);
bool get_trial(const uint8_t* body, uint8_t size, TrialReply& out);
bool get_error(const uint8_t* body, uint8_t size, ErrorReply& out);

/// Walks a telemetry body event by event. Stops for good at the first thing that does not decode.
class TelemetryReader {
public:
    TelemetryReader(const uint8_t* body, uint8_t size);
    bool is_valid() const { return valid_; }
    uint16_t boot_id() const { return boot_id_; }
    uint16_t sequence() const { return sequence_; }
    /// False at the end. `garbled()` tells an end from a fault.
    bool next(engine::Event& out);
    bool garbled() const { return garbled_; }

private:
    const uint8_t* at_;
    const uint8_t* end_;
    uint32_t stamp_us_;
    uint16_t boot_id_, sequence_;
    bool valid_, garbled_;
};

}  // namespace wire
}  // namespace fettle
