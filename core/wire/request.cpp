#include "core/wire/request.hpp"

#include "core/wire/fields.hpp"

namespace fettle {
namespace wire {

namespace {

uint8_t begin(uint8_t* to, MessageType type, uint8_t id, Fields fields, const void* from,
              const uint8_t* tail = nullptr, uint8_t count = 0) {
    return put_message(to, static_cast<uint8_t>(type), id, fields, from, tail, count);
}

}  // namespace

uint8_t put_request(uint8_t* to, MessageType type, uint8_t id) {
    return begin(to, type, id, k_no_fields, nullptr);
}

uint8_t put_hello_request(uint8_t* to, uint8_t id, uint16_t contract_version) {
    return begin(to, MessageType::hello, id, k_word_field, &contract_version);
}

bool get_hello_request(const uint8_t* body, uint8_t size, uint16_t& contract_version) {
    return get_fields(body, size, k_word_field, &contract_version) != 0;
}

uint8_t put_ping_request(uint8_t* to, uint8_t id, uint32_t stamp) {
    return begin(to, MessageType::ping, id, k_long_field, &stamp);
}

bool get_ping_request(const uint8_t* body, uint8_t size, uint32_t& stamp) {
    return get_fields(body, size, k_long_field, &stamp) != 0;
}

uint8_t put_read_request(uint8_t* to, uint8_t id, const ReadRequest& request) {
    return begin(to, MessageType::read, id, k_read_fields, &request);
}

bool get_read_request(const uint8_t* body, uint8_t size, ReadRequest& out) {
    return get_fields(body, size, k_read_fields, &out) != 0 && is_block(out.count);
}

uint8_t put_begin_write_request(uint8_t* to, uint8_t id, const BeginWriteRequest& request) {
    return begin(to, MessageType::begin_write, id, k_begin_fields, &request);
}

bool get_begin_write_request(const uint8_t* body, uint8_t size, BeginWriteRequest& out) {
    return get_fields(body, size, k_begin_fields, &out) != 0 && out.image_size >= k_image_header_bytes;
}

uint8_t put_write_request(uint8_t* to, uint8_t id, const WriteRequest& request) {
    return begin(to, MessageType::write, id, k_long_field, &request.offset, request.bytes, request.count);
}

bool get_write_request(const uint8_t* body, uint8_t size, WriteRequest& out) {
    const uint8_t used = get_fields(body, size, k_long_field, &out.offset);
    out.bytes = body + used;
    out.count = static_cast<uint8_t>(size - used);
    return used != 0 && is_block(out.count);
}

uint8_t put_finish_request(uint8_t* to, uint8_t id, const FinishRequest& request) {
    return begin(to, MessageType::finish, id, k_finish_fields, &request);
}

bool get_finish_request(const uint8_t* body, uint8_t size, FinishRequest& out) {
    return get_fields(body, size, k_finish_fields, &out) != 0 &&
           (out.seconds == 0 || is_trial_time(out.seconds));
}

uint8_t put_keep_request(uint8_t* to, uint8_t id, const TrialRequest& request) {
    return begin(to, MessageType::keep, id, k_keep_fields, &request);
}

uint8_t put_revert_request(uint8_t* to, uint8_t id, const TrialRequest& request) {
    return begin(to, MessageType::revert, id, k_revert_fields, &request);
}

uint8_t put_extend_request(uint8_t* to, uint8_t id, const TrialRequest& request) {
    return begin(to, MessageType::extend, id, k_extend_fields, &request);
}

bool get_keep_request(const uint8_t* body, uint8_t size, TrialRequest& out) {
    return get_fields(body, size, k_keep_fields, &out) != 0;
}

bool get_revert_request(const uint8_t* body, uint8_t size, TrialRequest& out) {
    return get_fields(body, size, k_revert_fields, &out) != 0;
}

bool get_extend_request(const uint8_t* body, uint8_t size, TrialRequest& out) {
    return get_fields(body, size, k_extend_fields, &out) != 0 && is_trial_time(out.seconds);
}

uint8_t put_byte_request(uint8_t* to, MessageType type, uint8_t id, uint8_t value) {
    return begin(to, type, id, k_byte_field, &value);
}

bool get_byte_request(const uint8_t* body, uint8_t size, uint8_t& value) {
    return get_fields(body, size, k_byte_field, &value) != 0;
}

uint8_t put_inject_request(uint8_t* to, uint8_t id, const InjectRequest& request) {
    uint8_t steps[k_inject_max * k_inject_step_bytes];
    uint8_t used = 0;
    for (uint8_t i = 0; i < request.count && i < k_inject_max; ++i) {
        steps[used] = request.steps[i].level;
        engine::put16(steps + used + 1, request.steps[i].after_us);
        used = static_cast<uint8_t>(used + k_inject_step_bytes);
    }
    return begin(to, MessageType::inject, id, k_byte_field, &request.line, steps, used);
}

bool get_inject_request(const uint8_t* body, uint8_t size, InjectRequest& out) {
    if (size < 1 + k_inject_step_bytes || size > 1 + k_inject_max * k_inject_step_bytes ||
        size % k_inject_step_bytes != 1)
        return false;
    out.line = body[0];
    out.count = static_cast<uint8_t>(size / k_inject_step_bytes);
    for (uint8_t i = 0; i < out.count; ++i) {
        const uint8_t* step = body + 1 + i * k_inject_step_bytes;
        out.steps[i] = InjectStep{step[0], engine::get16(step + 1)};
        if (step[0] > 1) return false;
    }
    return out.line <= engine::k_switch_lines;
}

}  // namespace wire
}  // namespace fettle
