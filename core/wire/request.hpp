#pragma once
// Requests: what the host writes and the device reads. One codec for both sides. Each put_* writes a whole
// message (`to` holds k_message_max bytes) and gives its size; each get_* reads a body (past the head) and
// gives false when it is too short or a field is out of its range. Bytes past what is known are ignored,
// except where a body ends in a list.

#include "core/wire/image_check.hpp"
#include "core/wire/message.hpp"

namespace fettle {
namespace wire {

inline bool is_trial_time(uint16_t seconds) {
    return seconds >= k_trial_least_s && seconds <= k_trial_most_s;
}
inline bool is_block(uint8_t count) {
    return count >= 1 && count <= k_block_max;
}

/// Requests without a body: info, trial, release, unsubscribe, snapshot.
uint8_t put_request(uint8_t* to, MessageType type, uint8_t id);

uint8_t put_hello_request(uint8_t* to, uint8_t id, uint16_t contract_version);
bool get_hello_request(const uint8_t* body, uint8_t size, uint16_t& contract_version);

uint8_t put_ping_request(uint8_t* to, uint8_t id, uint32_t stamp);
bool get_ping_request(const uint8_t* body, uint8_t size, uint32_t& stamp);

/// slot: 0, 1 or k_slot_*. count: 1 to k_block_max.
struct ReadRequest {
    uint8_t slot;
    uint32_t offset;
    uint8_t count;
};
uint8_t put_read_request(uint8_t* to, uint8_t id, const ReadRequest& request);
bool get_read_request(const uint8_t* body, uint8_t size, ReadRequest& out);

struct BeginWriteRequest {
    uint16_t image_size;
    uint32_t image_crc;
};
uint8_t put_begin_write_request(uint8_t* to, uint8_t id, const BeginWriteRequest& request);
bool get_begin_write_request(const uint8_t* body, uint8_t size, BeginWriteRequest& out);

/// bytes: count of them, 1 to k_block_max; read: they point into the body.
struct WriteRequest {
    uint32_t offset;
    const uint8_t* bytes;
    uint8_t count;
};
uint8_t put_write_request(uint8_t* to, uint8_t id, const WriteRequest& request);
bool get_write_request(const uint8_t* body, uint8_t size, WriteRequest& out);

/// seconds: 0 (the profile's own) or 20 to 600.
struct FinishRequest {
    uint32_t image_crc;
    uint16_t seconds;
};
uint8_t put_finish_request(uint8_t* to, uint8_t id, const FinishRequest& request);
bool get_finish_request(const uint8_t* body, uint8_t size, FinishRequest& out);

constexpr uint8_t k_keep_override = 1;  ///< a helper overrides the missing proof knowingly

/// keep (flags), revert, extend (seconds from now, 20 to 600): the fields that a type has not are not sent.
struct TrialRequest {
    uint16_t trial_id;
    uint32_t image_crc;
    uint8_t flags;
    uint16_t seconds;
};
uint8_t put_keep_request(uint8_t* to, uint8_t id, const TrialRequest& request);
uint8_t put_revert_request(uint8_t* to, uint8_t id, const TrialRequest& request);
uint8_t put_extend_request(uint8_t* to, uint8_t id, const TrialRequest& request);
bool get_keep_request(const uint8_t* body, uint8_t size, TrialRequest& out);
bool get_revert_request(const uint8_t* body, uint8_t size, TrialRequest& out);
bool get_extend_request(const uint8_t* body, uint8_t size, TrialRequest& out);

/// Requests of one byte: subscribe (flags), set_mode, set_variant, display (row).
uint8_t put_byte_request(uint8_t* to, MessageType type, uint8_t id, uint8_t value);
bool get_byte_request(const uint8_t* body, uint8_t size, uint8_t& value);

/// One edge for a simulated line. after_us: from the edge before (the first: from now).
struct InjectStep {
    uint8_t level;
    uint16_t after_us;
};
constexpr uint8_t k_inject_max = 19;
constexpr uint8_t k_inject_step_bytes = 3;
struct InjectRequest {
    uint8_t line;  ///< 0 the infrared receiver, 1 to 8 switches
    uint8_t count;
    InjectStep steps[k_inject_max];
};
uint8_t put_inject_request(uint8_t* to, uint8_t id, const InjectRequest& request);
bool get_inject_request(const uint8_t* body, uint8_t size, InjectRequest& out);

}  // namespace wire
}  // namespace fettle
