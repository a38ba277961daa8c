#include "core/wire/reply.hpp"

#include "core/wire/pack.hpp"

namespace fettle {
namespace wire {

namespace {

uint8_t reply_type(MessageType type) {
    return static_cast<uint8_t>(static_cast<uint8_t>(type) | k_reply);
}

Packer begin(uint8_t* to, MessageType type, uint8_t id) {
    return Packer(to, reply_type(type), id);
}

constexpr uint8_t k_sent_at = k_message_head + 8;

}  // namespace

uint8_t put_reply(uint8_t* to, MessageType type, uint8_t id) {
    return begin(to, type, id).size();
}

uint8_t put_ping(uint8_t* to, uint8_t id, const PingReply& reply) {
    return begin(to, MessageType::ping, id).u32(reply.stamp).u32(reply.received_us).u32(reply.sent_us).size();
}

bool get_ping(const uint8_t* body, uint8_t size, PingReply& out) {
    Unpacker in(body, size);
    out.stamp = in.u32();
    out.received_us = in.u32();
    out.sent_us = in.u32();
    return in.is_whole();
}

void set_sent(uint8_t* message, uint8_t size, uint32_t now_us) {
    if (size < k_sent_at + 4 || message[0] != reply_type(MessageType::ping)) return;
    engine::put32(message + k_sent_at, now_us);
}

uint8_t put_read(uint8_t* to, uint8_t id, const ReadReply& reply) {
    return begin(to, MessageType::read, id)
        .u8(reply.slot)
        .u32(reply.offset)
        .bytes(reply.bytes, reply.count)
        .size();
}

bool get_read(const uint8_t* body, uint8_t size, ReadReply& out) {
    Unpacker in(body, size);
    out.slot = in.u8();
    out.offset = in.u32();
    out.bytes = in.rest();
    out.count = in.left();
    return in.is_whole();
}

uint8_t put_begin_write(uint8_t* to, uint8_t id, uint16_t image_size) {
    return begin(to, MessageType::begin_write, id).u16(image_size).size();
}

bool get_begin_write(const uint8_t* body, uint8_t size, uint16_t& image_size) {
    Unpacker in(body, size);
    image_size = in.u16();
    return in.is_whole();
}

uint8_t put_write(uint8_t* to, uint8_t id, const WriteReply& reply) {
    return begin(to, MessageType::write, id).u32(reply.offset).u8(reply.count).size();
}

bool get_write(const uint8_t* body, uint8_t size, WriteReply& out) {
    Unpacker in(body, size);
    out.offset = in.u32();
    out.count = in.u8();
    return in.is_whole();
}

uint8_t put_subscribe(uint8_t* to, uint8_t id, const SubscribeReply& reply) {
    return begin(to, MessageType::subscribe, id).u16(reply.boot_id).u16(reply.next_sequence).size();
}

bool get_subscribe(const uint8_t* body, uint8_t size, SubscribeReply& out) {
    Unpacker in(body, size);
    out.boot_id = in.u16();
    out.next_sequence = in.u16();
    return in.is_whole();
}

uint8_t put_byte_reply(uint8_t* to, MessageType type, uint8_t id, uint8_t value) {
    return begin(to, type, id).u8(value).size();
}

bool get_byte_reply(const uint8_t* body, uint8_t size, uint8_t& value) {
    Unpacker in(body, size);
    value = in.u8();
    return in.is_whole();
}

uint8_t put_display(uint8_t* to, uint8_t id, const DisplayReply& reply) {
    return begin(to, MessageType::display, id)
        .u8(reply.row)
        .u8(reply.rows)
        .u8(reply.columns)
        .bytes(reply.text, reply.columns)
        .size();
}

bool get_display(const uint8_t* body, uint8_t size, DisplayReply& out) {
    Unpacker in(body, size);
    out.row = in.u8();
    out.rows = in.u8();
    out.columns = in.u8();
    out.text = in.rest();
    return in.is_whole() && out.columns <= in.left();
}

}  // namespace wire
}  // namespace fettle
