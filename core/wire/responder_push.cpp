// A push (begin_write, write ..., finish) and what becomes of its trial (keep, revert, extend).

#include "core/wire/device.hpp"

namespace fettle {
namespace wire {

WireError Device::respond_begin_write(const BeginWriteRequest& request) {
    if (request.image_size < k_image_header_bytes) return WireError::malformed;
    if (request.image_size > k_slot_bytes)
        return detailed(WireError::too_large, k_slot_bytes & 0xFFu, k_slot_bytes >> 8);
    if (trial_.is_on() || is_busy()) return WireError::busy;
    slots_.begin(request.image_size, request.image_crc);
    return begin_job(0, 0, request.image_size);
}

WireError Device::respond_write(uint32_t offset, const uint8_t* bytes, uint8_t count) {
    if (!is_block(count)) return WireError::malformed;
    if (trial_.is_on() || is_busy()) return WireError::busy;
    const uint16_t at = static_cast<uint16_t>(offset);
    if (at != offset || !slots_.write(at, bytes, count)) return WireError::out_of_order;
    return begin_job(0, count, at);
}

WireError Device::respond_finish(const FinishRequest& request) {
    if (request.seconds != 0 && !is_trial_time(request.seconds)) return WireError::malformed;
    const bool is_mine = trial_.id() != 0 && trial_.image_crc() == request.image_crc;
    if (is_mine && (trial_.is_on() || !slots_.is_open())) return answer_trial(trial_.phase());
    if (trial_.is_on() || is_busy()) return WireError::busy;
    if (!slots_.check(request.image_crc)) return WireError::out_of_order;
    return begin_job(0, 0, request.seconds);
}

/// keep, revert, extend. A kept trial is over for good; a reverted one may be reverted again.
WireError Device::respond_trial(const TrialRequest& request) {
    const TrialPhase phase = trial_.phase();
    const MessageType type = asked_.type;
    if (type == MessageType::extend && !is_trial_time(request.seconds)) return WireError::malformed;
    if (!trial_.is_named(request.trial_id, request.image_crc)) return WireError::no_trial;
    if (!trial_.is_on()) {
        const MessageType again = phase == TrialPhase::kept ? MessageType::keep : MessageType::revert;
        if (type == again) return answer_trial(phase);
        return detailed(WireError::no_trial, static_cast<uint8_t>(phase));
    }
    if (type == MessageType::extend) {
        trial_.extend(request.seconds);
        tell_trial(TrialPhase::extended);
        return answer_trial(TrialPhase::extended);
    }
    if (is_busy()) return WireError::busy;
    if (type == MessageType::keep && (request.flags & k_keep_override) == 0 && !is_proven())
        return detailed(WireError::unproven, engine_.proof(), engine_.proof_needed());
    take_trial(type == MessageType::keep ? TrialEvent::keep : TrialEvent::revert);
    return begin_job(0, 0, 0);
}

}  // namespace wire
}  // namespace fettle
