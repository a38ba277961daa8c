#pragma once
// The smaller replies (the larger ones: message.hpp). As with requests: put_* writes a whole message, get_*
// reads a body.

#include "core/wire/message.hpp"

namespace fettle {
namespace wire {

/// Replies without a body: release, unsubscribe, snapshot, inject.
uint8_t put_reply(uint8_t* to, MessageType type, uint8_t id);

/// Times on the device's clock, in us. `sent_us` is set when the reply leaves (set_sent).
struct PingReply {
    uint32_t stamp, received_us, sent_us;
};
uint8_t put_ping(uint8_t* to, uint8_t id, const PingReply& reply);
bool get_ping(const uint8_t* body, uint8_t size, PingReply& out);
/// Fills sent_us of a whole ping reply; any other message stays as it is.
void set_sent(uint8_t* message, uint8_t size, uint32_t now_us);

/// bytes: count of them; read: they point into the body.
struct ReadReply {
    uint8_t slot;
    uint32_t offset;
    const uint8_t* bytes;
    uint8_t count;
};
uint8_t put_read(uint8_t* to, uint8_t id, const ReadReply& reply);
bool get_read(const uint8_t* body, uint8_t size, ReadReply& out);

uint8_t put_begin_write(uint8_t* to, uint8_t id, uint16_t image_size);
bool get_begin_write(const uint8_t* body, uint8_t size, uint16_t& image_size);

struct WriteReply {
    uint32_t offset;
    uint8_t count;
};
uint8_t put_write(uint8_t* to, uint8_t id, const WriteReply& reply);
bool get_write(const uint8_t* body, uint8_t size, WriteReply& out);

struct SubscribeReply {
    uint16_t boot_id, next_sequence;
};
uint8_t put_subscribe(uint8_t* to, uint8_t id, const SubscribeReply& reply);
bool get_subscribe(const uint8_t* body, uint8_t size, SubscribeReply& out);

/// Replies of one byte: set_mode, set_variant.
uint8_t put_byte_reply(uint8_t* to, MessageType type, uint8_t id, uint8_t value);
bool get_byte_reply(const uint8_t* body, uint8_t size, uint8_t& value);

/// text: `columns` characters of ASCII, not zero-ended; read: they point into the body.
struct DisplayReply {
    uint8_t row, rows, columns;
    const uint8_t* text;
};
constexpr uint8_t k_display_columns_max = 40;
uint8_t put_display(uint8_t* to, uint8_t id, const DisplayReply& reply);
bool get_display(const uint8_t* body, uint8_t size, DisplayReply& out);

}  // namespace wire
}  // namespace fettle
