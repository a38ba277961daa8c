#include "core/wire/reply.hpp"

#include "core/wire/fields.hpp"

namespace fettle {
namespace wire {

namespace {

constexpr uint8_t k_sent_at = k_message_head + 8;

}  // namespace

uint8_t put_reply(uint8_t* to, MessageType type, uint8_t id) {
    return put_message(to, reply_type(type), id, k_no_fields, nullptr);
}

uint8_t put_ping(uint8_t* to, uint8_t id, const PingReply& reply) {
    return put_message(to, reply_type(MessageType::ping), id, k_ping_fields, &reply);
}

bool get_ping(const uint8_t* body, uint8_t size, PingReply& out) {
    return get_fields(body, size, k_ping_fields, &out) != 0;
}

void set_sent(uint8_t* message, uint8_t size, uint32_t now_us) {
    if (size < k_sent_at + 4 || message[0] != reply_type(MessageType::ping)) return;
    engine::put32(message + k_sent_at, now_us);
}

uint8_t put_read(uint8_t* to, uint8_t id, const ReadReply& reply) {
    return put_message(to, reply_type(MessageType::read), id, k_read_head, &reply, reply.bytes, reply.count);
}

bool get_read(const uint8_t* body, uint8_t size, ReadReply& out) {
    const uint8_t used = get_fields(body, size, k_read_head, &out);
    out.bytes = body + used;
    out.count = static_cast<uint8_t>(size - used);
    return used != 0;
}

uint8_t put_begin_write(uint8_t* to, uint8_t id, uint16_t image_size) {
    return put_message(to, reply_type(MessageType::begin_write), id, k_word_field, &image_size);
}

bool get_begin_write(const uint8_t* body, uint8_t size, uint16_t& image_size) {
    return get_fields(body, size, k_word_field, &image_size) != 0;
}

uint8_t put_write(uint8_t* to, uint8_t id, const WriteReply& reply) {
    return put_message(to, reply_type(MessageType::write), id, k_write_fields, &reply);
}

bool get_write(const uint8_t* body, uint8_t size, WriteReply& out) {
    return get_fields(body, size, k_write_fields, &out) != 0;
}

uint8_t put_subscribe(uint8_t* to, uint8_t id, const SubscribeReply& reply) {
    return put_message(to, reply_type(MessageType::subscribe), id, k_subscribe_fields, &reply);
}

bool get_subscribe(const uint8_t* body, uint8_t size, SubscribeReply& out) {
    return get_fields(body, size, k_subscribe_fields, &out) != 0;
}

uint8_t put_byte_reply(uint8_t* to, MessageType type, uint8_t id, uint8_t value) {
    return put_message(to, reply_type(type), id, k_byte_field, &value);
}

bool get_byte_reply(const uint8_t* body, uint8_t size, uint8_t& value) {
    return get_fields(body, size, k_byte_field, &value) != 0;
}

uint8_t put_display(uint8_t* to, uint8_t id, const DisplayReply& reply) {
    return put_message(to, reply_type(MessageType::display), id, k_display_head, &reply, reply.text,
                       reply.columns);
}

bool get_display(const uint8_t* body, uint8_t size, DisplayReply& out) {
    const uint8_t used = get_fields(body, size, k_display_head, &out);
    out.text = body + used;
    return used != 0 && out.columns <= k_display_columns_max && out.columns <= size - used;
}

}  // namespace wire
}  // namespace fettle
