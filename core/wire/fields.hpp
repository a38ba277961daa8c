#pragma once
// One walker for all messages. A message is a list of field widths in flash; its struct holds the same fields
// in the same order, aligned as the compiler aligns them, low byte first as on the wire.

#include "core/wire/rom.hpp"

namespace fettle {
namespace wire {

/// A field list: bytes of each field (1, 2, 4, or a byte array's 8), ended by 0.
using Fields = const uint8_t*;
/// Set in a width: the struct has this field, the message has not. Reading leaves it 0.
constexpr uint8_t k_unsent = 0x80;

/// Writes a whole message: type, id, the fields of `from`, then `count` bytes of `tail`. `to` holds
/// k_message_max; what does not fit is left out. Gives the size.
uint8_t put_message(uint8_t* to, uint8_t type, uint8_t id, Fields fields, const void* from,
                    const uint8_t* tail = nullptr, uint8_t count = 0);

/// Reads a body (past the head) into a struct. Gives the bytes that were read, 0 where it is too short.
uint8_t get_fields(const uint8_t* body, uint8_t size, Fields fields, void* to);

// The lists. Requests and replies of the same shape share one.
extern const uint8_t k_no_fields[] FETTLE_ROM;         ///< requests and replies without a body
extern const uint8_t k_byte_field[] FETTLE_ROM;        ///< one byte
extern const uint8_t k_word_field[] FETTLE_ROM;        ///< one u16: begin_write's reply, hello's request
extern const uint8_t k_long_field[] FETTLE_ROM;        ///< one u32: ping's request, the head of a write
extern const uint8_t k_hello_fields[] FETTLE_ROM;      ///< HelloReply
extern const uint8_t k_info_fields[] FETTLE_ROM;       ///< InfoReply
extern const uint8_t k_trial_fields[] FETTLE_ROM;      ///< TrialReply
extern const uint8_t k_error_fields[] FETTLE_ROM;      ///< ErrorReply
extern const uint8_t k_ping_fields[] FETTLE_ROM;       ///< PingReply
extern const uint8_t k_read_fields[] FETTLE_ROM;       ///< ReadRequest
extern const uint8_t k_read_head[] FETTLE_ROM;         ///< ReadReply, up to its bytes
extern const uint8_t k_begin_fields[] FETTLE_ROM;      ///< BeginWriteRequest
extern const uint8_t k_write_fields[] FETTLE_ROM;      ///< WriteReply
extern const uint8_t k_finish_fields[] FETTLE_ROM;     ///< FinishRequest
extern const uint8_t k_keep_fields[] FETTLE_ROM;       ///< TrialRequest: keep
extern const uint8_t k_revert_fields[] FETTLE_ROM;     ///< TrialRequest: revert
extern const uint8_t k_extend_fields[] FETTLE_ROM;     ///< TrialRequest: extend
extern const uint8_t k_subscribe_fields[] FETTLE_ROM;  ///< SubscribeReply
extern const uint8_t k_display_head[] FETTLE_ROM;      ///< DisplayReply, up to its text

}  // namespace wire
}  // namespace fettle
