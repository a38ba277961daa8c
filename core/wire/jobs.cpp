// What a request does over several ticks. One job at a time; each function gives true when the job was
// answered.

#include "core/wire/device.hpp"
#include "core/wire/reply.hpp"

namespace fettle {
namespace wire {

bool Device::is_repeat(const Asked& asked) const {
    return job_.is_on && job_.channel == asked.channel && job_.type == asked.type && job_.id == asked.id;
}

void Device::answer(const uint8_t* message, uint8_t size) {
    outbox_.put(job_.channel, message, size);
}

void Device::answer_error(WireError code, uint8_t d0, uint8_t d1) {
    uint8_t message[k_message_max];
    const ErrorReply body = {static_cast<uint8_t>(job_.type), code, {d0, d1}};
    answer(message, put_error(message, job_.id, body));
}

void Device::work_on_job() {
    if (!job_.is_on) return;
    bool is_over = true;
    if (job_.type == MessageType::read) is_over = read_job();
    if (job_.type == MessageType::display) is_over = display_job();
    if (job_.type == MessageType::begin_write || job_.type == MessageType::write) is_over = slot_job();
    if (job_.type == MessageType::finish) is_over = finish_job();
    if (job_.type == MessageType::keep) is_over = keep_job();
    if (job_.type == MessageType::revert || job_.type == MessageType::set_variant) is_over = load_job();
    if (is_over) job_.is_on = false;
}

bool Device::read_job() {
    uint8_t slot = job_.a;
    if (slot == k_slot_spare) slot = slots_.spare();
    if (slot == k_slot_current) slot = running_slot_;
    uint8_t bytes[k_block_max];
    const engine::Storage storage = slots_.storage(slot);
    if (!storage.read(storage.owner, job_.at, bytes, job_.b)) return false;
    uint8_t message[k_message_max];
    answer(message, put_read(message, job_.id, ReadReply{job_.a, job_.at, bytes, job_.b}));
    return true;
}

bool Device::display_job() {
    uint8_t text[k_display_columns_max];
    uint8_t columns = identity_.display_columns;
    if (columns > k_display_columns_max) columns = k_display_columns_max;
    if (!engine::display_row(engine_, job_.a, identity_.display_rows, columns, reinterpret_cast<char*>(text)))
        return false;
    uint8_t message[k_message_max];
    answer(message,
           put_display(message, job_.id, DisplayReply{job_.a, identity_.display_rows, columns, text}));
    return true;
}

bool Device::slot_job() {
    const SlotOutcome outcome = slots_.outcome();
    if (outcome == SlotOutcome::working) return false;
    slots_.end_work();
    uint8_t message[k_message_max];
    if (outcome != SlotOutcome::done)
        answer_error(WireError::verify);
    else if (job_.type == MessageType::begin_write)
        answer(message, put_begin_write(message, job_.id, job_.at));
    else
        answer(message, put_write(message, job_.id, WriteReply{job_.at, job_.b}));
    return true;
}

/// First the storage is read back and checked, then the profile is loaded, then its trial runs.
bool Device::finish_job() {
    if (job_.b == 0) {
        const SlotOutcome outcome = slots_.outcome();
        if (outcome == SlotOutcome::working) return false;
        slots_.end_work();
        if (outcome != SlotOutcome::done) {
            const ImageVerdict verdict = slots_.verdict();
            answer_error(WireError::bad_image, static_cast<uint8_t>(verdict.fault), verdict.tag);
            return true;
        }
        job_.a = engine_.state().variant;
        job_.b = 1;
        load(slots_.spare(), 0, false, engine::Cause::profile);
        return false;
    }
    if (load_.is_due) return false;
    slots_.close();
    if (running_slot_ != slots_.spare()) {
        answer_error(WireError::bad_image, static_cast<uint8_t>(ImageFault::range));
        return true;
    }
    trial_.begin(running_.crc, job_.at != 0 ? job_.at : setup_.trial_s, job_.a);
    tell_trial(TrialPhase::running);
    uint8_t message[k_message_max];
    answer(message, put_trial(message, job_.type, job_.id, trial()));
    return true;
}

bool Device::keep_job() {
    if (trial_.state() == TrialState::keeping) return false;
    uint8_t message[k_message_max];
    if (trial_.phase() == TrialPhase::kept)
        answer(message, put_trial(message, job_.type, job_.id, trial()));
    else
        answer_error(WireError::verify);
    return true;
}

bool Device::load_job() {
    if (load_.is_due) return false;
    uint8_t message[k_message_max];
    if (job_.type == MessageType::revert)
        answer(message, put_trial(message, job_.type, job_.id, trial()));
    else
        answer(message, put_byte_reply(message, job_.type, job_.id, engine_.state().variant));
    return true;
}

}  // namespace wire
}  // namespace fettle
