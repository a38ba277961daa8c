#pragma once
// Whole messages in and out of the two channels.
//
// Raw HID report, 64 bytes: report id 1, length of the message, the message, zeros. Byte stream: COBS(message
// + CRC-16/CCITT-FALSE, low byte first), then a zero. A zero may also come first: a sender that does not know
// what stood before begins with one.

#include "core/wire/cobs.hpp"
#include "core/wire/message.hpp"

namespace fettle {
namespace wire {

/// Fills a report of k_hid_report_bytes. size: k_message_head to k_message_max; else false and nothing is
/// written.
bool pack_report(const uint8_t* message, uint8_t size, uint8_t* report);

/// Where the message of a report lies. `bytes`: how many were received, the id included; trailing zeros may
/// be missing. False: wrong id, or a length that is out of range or not there.
bool unpack_report(const uint8_t* report, uint8_t bytes, const uint8_t*& message, uint8_t& size);

constexpr uint8_t k_crc_bytes = 2;
constexpr uint8_t k_serial_frame_max = static_cast<uint8_t>(cobs_room(k_message_max + k_crc_bytes) + 2);

/// Writes zero, COBS(message + CRC), zero; `to` holds k_serial_frame_max. Gives the size, 0 for a message of
/// a wrong size.
uint8_t pack_serial(const uint8_t* message, uint8_t size, uint8_t* to);

/// Takes a byte stream apart. Bounded: a frame that is too long is dropped up to its ending zero. After any
/// garbage the next zero finds the beat again.
class Unframer {
public:
    void reset();
    /// A byte came in. True when it ended a whole message: message() and size() until the next byte.
    bool take(uint8_t byte);
    const uint8_t* message() const { return buffer_; }
    uint8_t size() const { return size_; }
    /// Frames that were none, since the last call: a wrong CRC, too long, too short, torn. Saturates at 255.
    uint8_t take_bad();

private:
    bool end();
    void append(uint8_t byte);

    uint8_t buffer_[k_message_max + k_crc_bytes];
    uint8_t used_;
    uint8_t size_;
    uint8_t bad_;
    bool too_long_;
    CobsStream cobs_;
};

}  // namespace wire
}  // namespace fettle
