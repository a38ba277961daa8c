#include "core/wire/message.hpp"

#include "core/wire/fields.hpp"

namespace fettle {
namespace wire {

uint8_t put_hello(uint8_t* to, uint8_t id, const HelloReply& reply) {
    return put_message(to, reply_type(MessageType::hello), id, k_hello_fields, &reply);
}

bool get_hello(const uint8_t* body, uint8_t size, HelloReply& out) {
    return get_fields(body, size, k_hello_fields, &out) != 0;
}

uint8_t put_info(uint8_t* to, uint8_t id, const InfoReply& reply) {
    return put_message(to, reply_type(MessageType::info), id, k_info_fields, &reply);
}

bool get_info(const uint8_t* body, uint8_t size, InfoReply& out) {
    return get_fields(body, size, k_info_fields, &out) != 0;
}

uint8_t put_trial(uint8_t* to, MessageType type, uint8_t id, const TrialReply& reply) {
    return put_message(to, reply_type(type), id, k_trial_fields, &reply);
}

bool get_trial(const uint8_t* body, uint8_t size, TrialReply& out) {
    return get_fields(body, size, k_trial_fields, &out) != 0 && out.phase <= TrialPhase::extended;
}

uint8_t put_error(uint8_t* to, uint8_t id, const ErrorReply& reply) {
    return put_message(to, static_cast<uint8_t>(MessageType::error), id, k_error_fields, &reply);
}

bool get_error(const uint8_t* body, uint8_t size, ErrorReply& out) {
    return get_fields(body, size, k_error_fields, &out) != 0;
}

}  // namespace wire
}  // namespace fettle
