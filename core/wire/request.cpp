#include "core/wire/request.hpp"

#include "core/wire/image_check.hpp"
#include "core/wire/pack.hpp"

namespace fettle {
namespace wire {

namespace {

Packer begin(uint8_t* to, MessageType type, uint8_t id) {
    return Packer(to, static_cast<uint8_t>(type), id);
}

bool is_trial_time(uint16_t seconds) {
    return seconds >= k_trial_least_s && seconds <= k_trial_most_s;
}

}  // namespace

uint8_t put_request(uint8_t* to, MessageType type, uint8_t id) {
    return begin(to, type, id).size();
}

uint8_t put_hello_request(uint8_t* to, uint8_t id, uint16_t contract_version) {
    return begin(to, MessageType::hello, id).u16(contract_version).size();
}

bool get_hello_request(const uint8_t* body, uint8_t size, uint16_t& contract_version) {
    Unpacker in(body, size);
    contract_version = in.u16();
    return in.is_whole();
}

uint8_t put_ping_request(uint8_t* to, uint8_t id, uint32_t stamp) {
    return begin(to, MessageType::ping, id).u32(stamp).size();
}

bool get_ping_request(const uint8_t* body, uint8_t size, uint32_t& stamp) {
    Unpacker in(body, size);
    stamp = in.u32();
    return in.is_whole();
}

uint8_t put_read_request(uint8_t* to, uint8_t id, const ReadRequest& request) {
    return begin(to, MessageType::read, id).u8(request.slot).u32(request.offset).u8(request.count).size();
}

bool get_read_request(const uint8_t* body, uint8_t size, ReadRequest& out) {
    Unpacker in(body, size);
    out.slot = in.u8();
    out.offset = in.u32();
    out.count = in.u8();
    return in.is_whole() && out.count >= 1 && out.count <= k_block_max;
}

uint8_t put_begin_write_request(uint8_t* to, uint8_t id, const BeginWriteRequest& request) {
    return begin(to, MessageType::begin_write, id).u16(request.image_size).u32(request.image_crc).size();
}

bool get_begin_write_request(const uint8_t* body, uint8_t size, BeginWriteRequest& out) {
    Unpacker in(body, size);
    out.image_size = in.u16();
    out.image_crc = in.u32();
    return in.is_whole() && out.image_size >= k_image_header_bytes;
}

uint8_t put_write_request(uint8_t* to, uint8_t id, const WriteRequest& request) {
    return begin(to, MessageType::write, id).u32(request.offset).bytes(request.bytes, request.count).size();
}

bool get_write_request(const uint8_t* body, uint8_t size, WriteRequest& out) {
    Unpacker in(body, size);
    out.offset = in.u32();
    out.bytes = in.rest();
    out.count = in.left();
    return in.is_whole() && out.count >= 1 && out.count <= k_block_max;
}

uint8_t put_finish_request(uint8_t* to, uint8_t id, const FinishRequest& request) {
    return begin(to, MessageType::finish, id).u32(request.image_crc).u16(request.seconds).size();
}

bool get_finish_request(const uint8_t* body, uint8_t size, FinishRequest& out) {
    Unpacker in(body, size);
    out.image_crc = in.u32();
    out.seconds = in.u16();
    return in.is_whole() && (out.seconds == 0 || is_trial_time(out.seconds));
}

uint8_t put_keep_request(uint8_t* to, uint8_t id, const TrialRequest& request) {
    return begin(to, MessageType::keep, id)
        .u16(request.trial_id)
        .u32(request.image_crc)
        .u8(request.flags)
        .size();
}

uint8_t put_revert_request(uint8_t* to, uint8_t id, const TrialRequest& request) {
    return begin(to, MessageType::revert, id).u16(request.trial_id).u32(request.image_crc).size();
}

uint8_t put_extend_request(uint8_t* to, uint8_t id, const TrialRequest& request) {
    return begin(to, MessageType::extend, id)
        .u16(request.trial_id)
        .u32(request.image_crc)
        .u16(request.seconds)
        .size();
}

bool get_keep_request(const uint8_t* body, uint8_t size, TrialRequest& out) {
    Unpacker in(body, size);
    out.trial_id = in.u16();
    out.image_crc = in.u32();
    out.flags = in.u8();
    out.seconds = 0;
    return in.is_whole();
}

bool get_revert_request(const uint8_t* body, uint8_t size, TrialRequest& out) {
    Unpacker in(body, size);
    out.trial_id = in.u16();
    out.image_crc = in.u32();
    out.flags = 0;
    out.seconds = 0;
    return in.is_whole();
}

bool get_extend_request(const uint8_t* body, uint8_t size, TrialRequest& out) {
    Unpacker in(body, size);
    out.trial_id = in.u16();
    out.image_crc = in.u32();
    out.flags = 0;
    out.seconds = in.u16();
    return in.is_whole() && is_trial_time(out.seconds);
}

uint8_t put_byte_request(uint8_t* to, MessageType type, uint8_t id, uint8_t value) {
    return begin(to, type, id).u8(value).size();
}

bool get_byte_request(const uint8_t* body, uint8_t size, uint8_t& value) {
    Unpacker in(body, size);
    value = in.u8();
    return in.is_whole();
}

uint8_t put_inject_request(uint8_t* to, uint8_t id, const InjectRequest& request) {
    Packer out = begin(to, MessageType::inject, id);
    out.u8(request.line);
    for (uint8_t i = 0; i < request.count && i < k_inject_max; ++i)
        out.u8(request.steps[i].level).u16(request.steps[i].after_us);
    return out.size();
}

bool get_inject_request(const uint8_t* body, uint8_t size, InjectRequest& out) {
    Unpacker in(body, size);
    out.line = in.u8();
    out.count = 0;
    while (in.left() >= 3 && out.count < k_inject_max) {
        InjectStep& step = out.steps[out.count++];
        step.level = in.u8();
        step.after_us = in.u16();
        if (step.level > 1) return false;
    }
    return in.is_whole() && in.left() == 0 && out.count != 0 && out.line <= engine::k_switch_lines;
}

}  // namespace wire
}  // namespace fettle
