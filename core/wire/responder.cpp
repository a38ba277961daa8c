// What each request does at once. A request whose answer has no room is not carried out: `can_receive` tells
// a board in time.

#include "core/wire/device.hpp"
#include "core/wire/reply.hpp"

namespace fettle {
namespace wire {

namespace {

/// What the answer takes at most.
FETTLE_SHARED uint8_t reply_room(MessageType type) {
    constexpr uint8_t k_hello_bytes = k_message_head + 45;
    constexpr uint8_t k_info_bytes = k_message_head + 25;
    constexpr uint8_t k_other_bytes = k_message_head + 12;  // ping
    if (type == MessageType::hello) return k_hello_bytes;
    if (type == MessageType::info) return k_info_bytes;
    if (type == MessageType::read) return k_message_head + 5 + k_block_max;
    if (type == MessageType::display) return k_message_head + 3 + k_display_columns_max;
    return k_other_bytes;
}

/// What a request of each type must bring, from hello on. nullptr: nothing, or it looks for itself.
constexpr uint8_t k_request_types = static_cast<uint8_t>(MessageType::display) + 1;
const Fields k_requests[k_request_types] FETTLE_ROM = {
    nullptr,         k_word_field, k_long_field,    nullptr,       k_read_fields,
    k_begin_fields,  k_long_field, k_finish_fields, k_keep_fields, k_revert_fields,
    k_extend_fields, nullptr,      nullptr,         k_byte_field,  nullptr,
    nullptr,         k_byte_field, k_byte_field,    nullptr,       k_byte_field,
};

Fields fields_of(MessageType type) {
    Fields fields = nullptr;
    const uint8_t index = static_cast<uint8_t>(type);
    if (index < k_request_types)
        read_rom(reinterpret_cast<const uint8_t*>(k_requests + index), reinterpret_cast<uint8_t*>(&fields),
                 sizeof fields);
    return fields;
}

}  // namespace

/// What the fields of a request are read into.
union Device::Request {
    uint8_t byte;
    uint16_t word;
    uint32_t stamp;
    ReadRequest read;
    BeginWriteRequest begin;
    FinishRequest finish;
    TrialRequest trial;
};

void Device::respond(const uint8_t* body, uint8_t size) {
    // Only what follows at once is a repeat: another session may begin with the same ids.
    if (asked_.type != MessageType::inject) has_injected_ = false;
    if (asked_.type == MessageType::release) {
        release_due_ = true;
        return outbox_.put_release(asked_.channel, asked_.id);
    }
    if (is_repeat()) return;  // the answer is on its way
    // A job's answer has its room kept, so that a host that does not read can never hold up the work itself.
    uint8_t room = reply_room(asked_.type);
    if (job_.is_on && job_.asked.channel == asked_.channel)
        room = static_cast<uint8_t>(room + 1u + reply_room(job_.asked.type));
    if (!outbox_.has_room(asked_.channel, room)) return bad_frame();
    tell_error(is_ready() || asked_.type == MessageType::ping ? carry_out(body, size) : WireError::busy);
}

WireError Device::carry_out(const uint8_t* body, uint8_t size) {
    Request request;
    const Fields fields = fields_of(asked_.type);
    if (fields != nullptr && get_fields(body, size, fields, &request) == 0) return WireError::malformed;
    switch (asked_.type) {
        case MessageType::hello: {
            const HelloReply reply = hello();
            return answer(k_hello_fields, &reply);
        }
        case MessageType::ping: {
            const PingReply reply = {request.stamp, now_us_, now_us_};
            return answer(k_ping_fields, &reply);
        }
        case MessageType::info: {
            const InfoReply reply = info();
            return answer(k_info_fields, &reply);
        }
        case MessageType::read: return respond_read(request.read);
        case MessageType::begin_write: return respond_begin_write(request.begin);
        case MessageType::write:
            return respond_write(request.stamp, body + sizeof request.stamp,
                                 static_cast<uint8_t>(size - sizeof request.stamp));
        case MessageType::finish: return respond_finish(request.finish);
        case MessageType::keep:
        case MessageType::revert:
        case MessageType::extend: return respond_trial(request.trial);
        case MessageType::trial: return answer_trial(trial_.phase());
        case MessageType::release: break;
        case MessageType::subscribe: {
            telemetry_.subscribe(asked_.channel, request.byte, now_us_);
            const SubscribeReply reply = {identity_.boot_id, telemetry_.sequence()};
            return answer(k_subscribe_fields, &reply);
        }
        case MessageType::unsubscribe: telemetry_.unsubscribe(asked_.channel); return acknowledge();
        case MessageType::snapshot: telemetry_.ask_snapshot(); return acknowledge();
        case MessageType::set_mode: return respond_mode(request.byte);
        case MessageType::set_variant: return respond_variant(request.byte);
        case MessageType::inject: return respond_inject(body, size);
        case MessageType::display: return respond_display(request.byte);
        case MessageType::locked:
        case MessageType::select_slot:
        case MessageType::enter_loader: return WireError::unsupported;
        case MessageType::telemetry: break;
        case MessageType::error: break;
    }
    return WireError::unknown_type;
}

void Device::send_answer(uint8_t type, Fields fields, const void* from, const uint8_t* tail, uint8_t count) {
    uint8_t message[k_message_max];
    outbox_.put(asked_.channel, message, put_message(message, type, asked_.id, fields, from, tail, count));
}

WireError Device::answer(Fields fields, const void* from, const uint8_t* tail, uint8_t count) {
    send_answer(reply_type(asked_.type), fields, from, tail, count);
    return k_done;
}

WireError Device::answer_trial(TrialPhase phase) {
    TrialReply reply = trial();
    reply.phase = phase;
    return answer(k_trial_fields, &reply);
}

FETTLE_SHARED WireError Device::detailed(WireError code, uint8_t d0, uint8_t d1) {
    detail_[0] = d0;
    detail_[1] = d1;
    return code;
}

void Device::tell_error(WireError code) {
    if (code != k_done) {
        const ErrorReply reply = {static_cast<uint8_t>(asked_.type), code, {detail_[0], detail_[1]}};
        send_answer(static_cast<uint8_t>(MessageType::error), k_error_fields, &reply, nullptr, 0);
    }
    detailed(code, 0);
}

WireError Device::begin_job(uint8_t a, uint8_t b, uint16_t at) {
    job_ = Job{true, asked_, a, b, at};
    work_on_job();
    return k_done;
}

FETTLE_SHARED uint8_t Device::slot_named(uint8_t slot) const {
    if (slot == k_slot_spare) return slots_.spare();
    return slot == k_slot_current ? running_slot_ : slot;
}

WireError Device::respond_read(const ReadRequest& request) {
    const uint8_t slot = slot_named(request.slot);
    const uint16_t room = Slots::room(slot);
    if ((slot >= k_slots && slot != k_slot_built_in) || !is_block(request.count) || request.offset > room ||
        request.count > room - static_cast<uint16_t>(request.offset))
        return WireError::malformed;
    if (is_busy()) return WireError::busy;
    // The reply names the slot as the host did; which one that is stays what it was for as long as the job
    // waits.
    return begin_job(request.slot, request.count, static_cast<uint16_t>(request.offset));
}

WireError Device::respond_display(uint8_t row) {
    if (identity_.display_rows == 0) return WireError::unsupported;
    if (row >= identity_.display_rows) return WireError::malformed;
    if (is_busy()) return WireError::busy;
    return begin_job(row, 0, 0);
}

WireError Device::respond_mode(uint8_t mode) {
    if (mode >= setup_.mode_count) return WireError::malformed;
    engine_.go_to_mode(mode, now_us_);
    return answer(k_byte_field, &mode);
}

WireError Device::respond_variant(uint8_t variant) {
    if (variant >= setup_.variant_count) return WireError::malformed;
    if (is_busy()) return WireError::busy;
    if (variant != engine_.variant()) load(running_slot_, variant, true, engine::Cause::host);
    return begin_job(variant, 0, 0);
}

WireError Device::respond_inject(const uint8_t* body, uint8_t size) {
    if (!k_can_inject || identity_.inject.put == nullptr) return WireError::unsupported;
    InjectRequest request;
    if (!get_inject_request(body, size, request)) return WireError::malformed;
    // A repeat is answered, and presses nothing twice.
    const bool is_again = has_injected_ && inject_id_ == asked_.id && inject_channel_ == asked_.channel;
    if (!is_again &&
        !identity_.inject.put(identity_.inject.owner, request.line, request.steps, request.count))
        return WireError::busy;
    has_injected_ = true;
    inject_id_ = asked_.id;
    inject_channel_ = asked_.channel;
    return acknowledge();
}

}  // namespace wire
}  // namespace fettle
