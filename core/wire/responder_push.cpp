// A push (begin_write, write ..., finish) and what becomes of its trial (keep, revert, extend).

#include "core/wire/device.hpp"
#include "core/wire/reply.hpp"

namespace fettle {
namespace wire {

void Device::reply_trial(const Asked& asked, TrialPhase phase) {
    TrialReply body = trial();
    body.phase = phase;
    uint8_t message[k_message_max];
    reply(asked, message, put_trial(message, asked.type, asked.id, body));
}

void Device::respond_begin_write(const Asked& asked) {
    BeginWriteRequest request;
    if (!get_begin_write_request(asked.body, asked.size, request)) return error(asked, WireError::malformed);
    if (request.image_size > k_slot_bytes)
        return error(asked, WireError::too_large, k_slot_bytes & 0xFFu, k_slot_bytes >> 8);
    if (trial_.is_on() || is_busy()) return error(asked, WireError::busy);
    slots_.begin(request.image_size, request.image_crc);
    begin_job(asked, 0, 0, request.image_size);
}

void Device::respond_write(const Asked& asked) {
    WriteRequest request;
    if (!get_write_request(asked.body, asked.size, request)) return error(asked, WireError::malformed);
    if (trial_.is_on() || is_busy()) return error(asked, WireError::busy);
    if (!slots_.write(request.offset, request.bytes, request.count))
        return error(asked, WireError::out_of_order);
    begin_job(asked, 0, request.count, static_cast<uint16_t>(request.offset));
}

void Device::respond_finish(const Asked& asked) {
    FinishRequest request;
    if (!get_finish_request(asked.body, asked.size, request)) return error(asked, WireError::malformed);
    const bool is_mine = trial_.id() != 0 && trial_.image_crc() == request.image_crc;
    if (is_mine && (trial_.is_on() || !slots_.is_open())) return reply_trial(asked, trial_.phase());
    if (trial_.is_on() || is_busy()) return error(asked, WireError::busy);
    if (!slots_.check(request.image_crc)) return error(asked, WireError::out_of_order);
    begin_job(asked, 0, 0, request.seconds);
}

/// False: answered, because there is no such trial.
bool Device::is_named(const Asked& asked, const TrialRequest& request) {
    if (trial_.is_named(request.trial_id, request.image_crc)) return true;
    error(asked, WireError::no_trial);
    return false;
}

void Device::respond_keep(const Asked& asked) {
    TrialRequest request;
    if (!get_keep_request(asked.body, asked.size, request)) return error(asked, WireError::malformed);
    if (!is_named(asked, request)) return;
    if (trial_.phase() == TrialPhase::kept) return reply_trial(asked, TrialPhase::kept);
    if (!trial_.is_on()) return error(asked, WireError::no_trial, static_cast<uint8_t>(trial_.phase()));
    if (is_busy()) return error(asked, WireError::busy);
    if ((request.flags & k_keep_override) == 0 && !is_proven())
        return error(asked, WireError::unproven, engine_.proof(), engine_.proof_needed());
    take_trial(TrialEvent::keep);
    begin_job(asked, 0, 0, 0);
}

void Device::respond_revert(const Asked& asked) {
    TrialRequest request;
    if (!get_revert_request(asked.body, asked.size, request)) return error(asked, WireError::malformed);
    if (!is_named(asked, request)) return;
    if (trial_.phase() == TrialPhase::kept)
        return error(asked, WireError::no_trial, static_cast<uint8_t>(TrialPhase::kept));
    if (!trial_.is_on()) return reply_trial(asked, trial_.phase());
    if (is_busy()) return error(asked, WireError::busy);
    take_trial(TrialEvent::revert);
    begin_job(asked, 0, 0, 0);
}

void Device::respond_extend(const Asked& asked) {
    TrialRequest request;
    if (!get_extend_request(asked.body, asked.size, request)) return error(asked, WireError::malformed);
    if (!is_named(asked, request)) return;
    if (!trial_.is_on()) return error(asked, WireError::no_trial, static_cast<uint8_t>(trial_.phase()));
    trial_.extend(request.seconds);
    tell_trial(TrialPhase::extended);
    reply_trial(asked, TrialPhase::extended);
}

}  // namespace wire
}  // namespace fettle
