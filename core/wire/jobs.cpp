// What a request does over several ticks. One job at a time; each function gives k_wait until it is answered.

#include "core/wire/device.hpp"
#include "core/wire/reply.hpp"

namespace fettle {
namespace wire {

bool Device::is_repeat() const {
    return job_.is_on && job_.asked.channel == asked_.channel && job_.asked.type == asked_.type &&
           job_.asked.id == asked_.id;
}

void Device::work_on_job() {
    if (!job_.is_on) return;
    asked_ = job_.asked;
    const WireError outcome = step_job();
    if (outcome == k_wait) return;
    job_.is_on = false;
    tell_error(outcome);
}

WireError Device::step_job() {
    const MessageType type = asked_.type;
    if (type == MessageType::read) return read_job();
    if (type == MessageType::display) return display_job();
    if (type == MessageType::keep) return keep_job();
    if (type == MessageType::revert || type == MessageType::set_variant) return load_job();
    return slot_job();  // begin_write, write, finish
}

WireError Device::read_job() {
    uint8_t bytes[k_block_max];
    const engine::Storage storage = slots_.storage(slot_named(job_.a));
    if (!storage.read(storage.owner, job_.at, bytes, job_.b)) return k_wait;
    const ReadReply reply = {job_.a, job_.at, nullptr, 0};
    return answer(k_read_head, &reply, bytes, job_.b);
}

WireError Device::display_job() {
    uint8_t text[k_display_columns_max];
    uint8_t columns = identity_.display_columns;
    if (columns > k_display_columns_max) columns = k_display_columns_max;
    if (!engine::display_row(engine_, job_.a, identity_.display_rows, columns, reinterpret_cast<char*>(text)))
        return k_wait;
    const DisplayReply reply = {job_.a, identity_.display_rows, columns, nullptr};
    return answer(k_display_head, &reply, text, columns);
}

WireError Device::slot_job() {
    if (job_.b != 0 && asked_.type == MessageType::finish) return finish_job();
    const SlotOutcome outcome = slots_.outcome();
    if (outcome == SlotOutcome::working) return k_wait;
    slots_.end_work();
    if (outcome != SlotOutcome::done) {
        if (asked_.type != MessageType::finish) return WireError::verify;
        const ImageVerdict verdict = slots_.verdict();
        return detailed(WireError::bad_image, static_cast<uint8_t>(verdict.fault), verdict.tag);
    }
    if (asked_.type == MessageType::begin_write) return answer(k_word_field, &job_.at);
    if (asked_.type == MessageType::write) {
        const WriteReply reply = {job_.at, job_.b};
        return answer(k_write_fields, &reply);
    }
    job_.a = engine_.variant();
    job_.b = 1;
    load(slots_.spare(), 0, false, engine::Cause::profile);
    return k_wait;
}

/// The storage was read back and checked, and the profile is being loaded; then its trial runs.
WireError Device::finish_job() {
    if (load_.is_due) return k_wait;
    slots_.close();
    if (running_slot_ != slots_.spare())
        return detailed(WireError::bad_image, static_cast<uint8_t>(ImageFault::range));
    trial_.begin(running_.crc, job_.at != 0 ? job_.at : setup_.trial_s, job_.a);
    tell_trial(TrialPhase::running);
    return answer_trial(trial_.phase());
}

WireError Device::keep_job() {
    if (trial_.state() == TrialState::keeping) return k_wait;
    return trial_.phase() == TrialPhase::kept ? answer_trial(TrialPhase::kept) : WireError::verify;
}

WireError Device::load_job() {
    if (load_.is_due) return k_wait;
    if (asked_.type == MessageType::revert) return answer_trial(trial_.phase());
    const uint8_t variant = engine_.variant();
    return answer(k_byte_field, &variant);
}

}  // namespace wire
}  // namespace fettle
