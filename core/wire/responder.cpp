// What each request does at once. A request whose answer has no room is not carried out: `can_receive` tells
// a board in time.

#include "core/wire/device.hpp"
#include "core/wire/reply.hpp"

namespace fettle {
namespace wire {

using engine::put16;

namespace {

/// What the answer takes at most.
uint8_t reply_room(MessageType type) {
    constexpr uint8_t k_hello_bytes = k_message_head + 45;
    constexpr uint8_t k_info_bytes = k_message_head + 25;
    constexpr uint8_t k_other_bytes = k_message_head + 12;  // ping
    if (type == MessageType::hello) return k_hello_bytes;
    if (type == MessageType::info) return k_info_bytes;
    if (type == MessageType::read) return k_message_head + 5 + k_block_max;
    if (type == MessageType::display) return k_message_head + 3 + k_display_columns_max;
    return k_other_bytes;
}

}  // namespace

void Device::respond(const Asked& asked) {
    // Only what follows at once is a repeat: another session may begin with the same ids.
    if (asked.type != MessageType::inject) has_injected_ = false;
    if (asked.type == MessageType::release) {
        release_due_ = true;
        return outbox_.put_release(asked.channel, asked.id);
    }
    if (is_repeat(asked)) return;  // the answer is on its way
    // A job's answer has its room kept, so that a host that does not read can never hold up the work itself.
    uint8_t room = reply_room(asked.type);
    if (job_.is_on && job_.channel == asked.channel)
        room = static_cast<uint8_t>(room + 1u + reply_room(job_.type));
    if (!outbox_.has_room(asked.channel, room)) return bad_frame();
    if (!is_ready() && asked.type != MessageType::ping) return error(asked, WireError::busy);
    switch (asked.type) {
        case MessageType::hello: return respond_hello(asked);
        case MessageType::ping: return respond_ping(asked);
        case MessageType::info: {
            uint8_t message[k_message_max];
            return reply(asked, message, put_info(message, asked.id, info()));
        }
        case MessageType::read: return respond_read(asked);
        case MessageType::begin_write: return respond_begin_write(asked);
        case MessageType::write: return respond_write(asked);
        case MessageType::finish: return respond_finish(asked);
        case MessageType::keep: return respond_keep(asked);
        case MessageType::revert: return respond_revert(asked);
        case MessageType::extend: return respond_extend(asked);
        case MessageType::trial: return reply_trial(asked, trial_.phase());
        case MessageType::release: return;
        case MessageType::subscribe: return respond_subscribe(asked);
        case MessageType::unsubscribe: telemetry_.unsubscribe(asked.channel); return acknowledge(asked);
        case MessageType::snapshot: telemetry_.ask_snapshot(); return acknowledge(asked);
        case MessageType::set_mode: return respond_mode(asked);
        case MessageType::set_variant: return respond_variant(asked);
        case MessageType::inject: return respond_inject(asked);
        case MessageType::display: return respond_display(asked);
        case MessageType::locked: return error(asked, WireError::unsupported);
        case MessageType::select_slot: return error(asked, WireError::unsupported);
        case MessageType::enter_loader: return error(asked, WireError::unsupported);
        case MessageType::telemetry: break;
        case MessageType::error: break;
    }
    error(asked, WireError::unknown_type);
}

void Device::reply(const Asked& asked, const uint8_t* message, uint8_t size) {
    outbox_.put(asked.channel, message, size);
}

void Device::acknowledge(const Asked& asked) {
    uint8_t message[k_message_head];
    reply(asked, message, put_reply(message, asked.type, asked.id));
}

void Device::error(const Asked& asked, WireError code, uint8_t d0, uint8_t d1) {
    uint8_t message[k_message_max];
    const ErrorReply body = {static_cast<uint8_t>(asked.type), code, {d0, d1}};
    reply(asked, message, put_error(message, asked.id, body));
}

void Device::begin_job(const Asked& asked, uint8_t a, uint8_t b, uint16_t at) {
    job_ = Job{true, asked.type, asked.channel, asked.id, a, b, at};
    work_on_job();
}

void Device::respond_hello(const Asked& asked) {
    uint16_t version = 0;
    uint8_t message[k_message_max];
    if (!get_hello_request(asked.body, asked.size, version)) return error(asked, WireError::malformed);
    reply(asked, message, put_hello(message, asked.id, hello()));
}

void Device::respond_ping(const Asked& asked) {
    PingReply body = {0, now_us_, now_us_};
    uint8_t message[k_message_max];
    if (!get_ping_request(asked.body, asked.size, body.stamp)) return error(asked, WireError::malformed);
    reply(asked, message, put_ping(message, asked.id, body));
}

void Device::respond_read(const Asked& asked) {
    ReadRequest request;
    if (!get_read_request(asked.body, asked.size, request)) return error(asked, WireError::malformed);
    uint8_t slot = request.slot;
    if (slot == k_slot_spare) slot = slots_.spare();
    if (slot == k_slot_current) slot = running_slot_;
    if ((slot >= k_slots && slot != k_slot_built_in) || request.offset > Slots::room(slot) ||
        request.count > Slots::room(slot) - request.offset)
        return error(asked, WireError::malformed);
    if (is_busy()) return error(asked, WireError::busy);
    // The reply names the slot as the host did; which one that is stays what it was for as long as the job
    // waits.
    begin_job(asked, request.slot, request.count, static_cast<uint16_t>(request.offset));
}

void Device::respond_display(const Asked& asked) {
    uint8_t row = 0;
    if (!get_byte_request(asked.body, asked.size, row)) return error(asked, WireError::malformed);
    if (identity_.display_rows == 0) return error(asked, WireError::unsupported);
    if (row >= identity_.display_rows) return error(asked, WireError::malformed);
    if (is_busy()) return error(asked, WireError::busy);
    begin_job(asked, row, 0, 0);
}

void Device::respond_subscribe(const Asked& asked) {
    uint8_t flags = 0;
    if (!get_byte_request(asked.body, asked.size, flags)) return error(asked, WireError::malformed);
    telemetry_.subscribe(asked.channel, flags, now_us_);
    uint8_t message[k_message_max];
    reply(asked, message,
          put_subscribe(message, asked.id, SubscribeReply{identity_.boot_id, telemetry_.sequence()}));
}

void Device::respond_mode(const Asked& asked) {
    uint8_t mode = 0;
    if (!get_byte_request(asked.body, asked.size, mode) || mode >= setup_.mode_count)
        return error(asked, WireError::malformed);
    engine_.go_to_mode(mode, now_us_);
    uint8_t message[k_message_max];
    reply(asked, message, put_byte_reply(message, asked.type, asked.id, mode));
}

void Device::respond_variant(const Asked& asked) {
    uint8_t variant = 0;
    if (!get_byte_request(asked.body, asked.size, variant) || variant >= setup_.variant_count)
        return error(asked, WireError::malformed);
    if (is_busy()) return error(asked, WireError::busy);
    if (variant != engine_.state().variant) load(running_slot_, variant, true, engine::Cause::host);
    begin_job(asked, variant, 0, 0);
}

void Device::respond_inject(const Asked& asked) {
    InjectRequest request;
    if (identity_.inject.put == nullptr) return error(asked, WireError::unsupported);
    if (!get_inject_request(asked.body, asked.size, request)) return error(asked, WireError::malformed);
    // A repeat is answered, and presses nothing twice.
    const bool is_again = has_injected_ && inject_id_ == asked.id && inject_channel_ == asked.channel;
    if (!is_again &&
        !identity_.inject.put(identity_.inject.owner, request.line, request.steps, request.count))
        return error(asked, WireError::busy);
    has_injected_ = true;
    inject_id_ = asked.id;
    inject_channel_ = asked.channel;
    acknowledge(asked);
}

}  // namespace wire
}  // namespace fettle
