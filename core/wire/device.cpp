#include "core/wire/device.hpp"

#include "core/wire/reply.hpp"

namespace fettle {
namespace wire {

using engine::Cause;
using engine::Event;
using engine::EventKind;
using engine::TickInputs;
using engine::TickOutputs;

namespace {

constexpr uint8_t k_boot_pointer = 1u << static_cast<uint8_t>(engine::Endpoint::pointer);

void count_up(uint16_t& counter, uint8_t by = 1) {
    counter = counter > 0xFFFF - by ? uint16_t{0xFFFF} : static_cast<uint16_t>(counter + by);
}

}  // namespace

void Device::start(const Eeprom& eeprom, const DeviceIdentity& identity, uint32_t now_us) {
    memset(static_cast<void*>(this), 0, sizeof *this);  // every part's start is all zeros, but for these
    identity_ = identity;
    engine_.start(engine::EventSink{this, on_event});
    engine::clear(setup_);
    slots_.start(eeprom);
    telemetry_.reset(identity.boot_id);
    info_.reset_cause = identity.reset_cause;
    now_us_ = now_us;
    running_slot_ = k_slot_built_in;
}

void Device::tick(const TickInputs& in, TickOutputs& out) {
    now_us_ = in.now_us;
    if (++up_ms_ == 1000) {
        up_ms_ = 0;
        ++info_.up_s;
    }
    boot_pointer_ = (in.boot_protocol & k_boot_pointer) != 0;
    TickInputs mine = in;
    if (release_due_) mine.commands = static_cast<uint8_t>(mine.commands | engine::k_command_release_all);
    release_due_ = false;
    take_commands(in.commands);
    if (trial_.tick()) take_trial(TrialEvent::time);
    slots_.step();
    follow_trial();
    if (!is_ready() && slots_.is_ready() && !load_.is_due) load(slots_.current(), 0, false, Cause::start);
    load_if_due();
    work_on_job();
    engine_.tick(mine, out);
    take_wishes(out);
    keep_telemetry();
}

void Device::take_commands(uint8_t commands) {
    if ((commands & engine::k_command_cable_lost) != 0) forget_host();
    if ((commands & (engine::k_command_cable_lost | engine::k_command_suspended)) == 0) return;
    // A profile whose push was not even answered is not tried on someone who cannot say no.
    if (job_.is_on && job_.asked.type == MessageType::finish) {
        job_.is_on = false;
        if (job_.b != 0) load_.is_due = false;
    }
    take_trial(TrialEvent::lost);
}

/// Nobody waits for an answer any more; what was begun goes on.
void Device::forget_host() {
    if (job_.asked.type != MessageType::finish) job_.is_on = false;
    outbox_.reset();
    telemetry_.unsubscribe_all();
    is_serial_open_ = false;
    unframer_.reset();
}

FETTLE_SHARED void Device::load(uint8_t slot, uint8_t variant, bool keep_mode, Cause cause) {
    load_ = Load{true, keep_mode, slot, variant, cause};
}

/// The one setup is overwritten in place, so the engine gets the new one in the same breath. What cannot be
/// loaded makes way for the kept profile, and that for the built-in one.
FETTLE_SHARED void Device::load_if_due() {
    if (!load_.is_due || (load_.slot != k_slot_built_in && slots_.is_blocked())) return;
    for (;;) {
        const engine::Storage storage = slots_.storage(load_.slot);
        const uint16_t room = Slots::room(load_.slot);
        const ImageFault fault = wire::load(storage, room, load_.variant, setup_).fault;
        if (fault == ImageFault::busy) return;
        if (fault == ImageFault::none) {
            read_header(storage, room, running_);
            break;
        }
        if (load_.slot == k_slot_built_in) break;  // the setup is clear: nothing assigned, nothing held
        load_.slot = load_.slot == slots_.current() ? k_slot_built_in : slots_.current();
        load_.variant = 0;
        load_.keep_mode = false;
    }
    load_.is_due = false;
    running_slot_ = load_.slot;
    engine_.load(&setup_, now_us_, load_.cause, load_.variant, load_.keep_mode);
}

/// Carries a keep on to its end, whoever asked for it.
void Device::follow_trial() {
    if (trial_.state() != TrialState::keeping) return;
    const SlotOutcome outcome = slots_.outcome();
    if (outcome == SlotOutcome::working) return;
    slots_.end_work();
    take_trial(outcome == SlotOutcome::done ? TrialEvent::written : TrialEvent::unwritten);
}

void Device::take_trial(TrialEvent event) {
    switch (trial_.take(event)) {
        case TrialAct::nothing: break;
        case TrialAct::refuse: break;
        case TrialAct::start: break;
        case TrialAct::write: slots_.commit(); break;
        case TrialAct::kept: tell_trial(TrialPhase::kept); break;
        case TrialAct::go_back:
            load(slots_.current(), trial_.variant_before(), false, Cause::profile);
            tell_trial(trial_.phase());
            break;
        case TrialAct::bug:
            tell(EventKind::fault, static_cast<uint8_t>(engine::Fault::impossible_state));
            break;
    }
}

void Device::tell_trial(TrialPhase phase) {
    tell(EventKind::trial, static_cast<uint8_t>(phase), trial_.id(), trial_.seconds_left());
}

FETTLE_SHARED void Device::tell(EventKind kind, uint8_t what, uint16_t id, uint16_t left) {
    Event event = {now_us_, kind, {what}};
    engine::put16(event.data + 1, id);
    engine::put16(event.data + 3, left);
    on_event(this, event);
}

bool Device::is_proven() const {
    return (engine_.proof_needed() & ~engine_.proof()) == 0;
}

/// The device's own actions. They do nothing where there is no trial.
void Device::take_wishes(const TickOutputs& out) {
    const bool is_running = trial_.state() == TrialState::running;
    if ((out.wishes & engine::k_wish_revert) != 0 && is_running) {
        take_trial(TrialEvent::revert);
    } else if ((out.wishes & engine::k_wish_keep) != 0 && is_running) {
        if (is_proven())
            take_trial(TrialEvent::keep);
        else
            tell_trial(TrialPhase::refused);
    } else if ((out.wishes & engine::k_wish_extend) != 0 && is_running) {
        trial_.extend_again();
        tell_trial(TrialPhase::extended);
    }
    if ((out.wishes & engine::k_wish_variant) != 0 && !load_.is_due && out.variant < setup_.variant_count)
        load(running_slot_, out.variant, true, Cause::press);
}

void Device::keep_telemetry() {
    if (!is_ready() || !telemetry_.wants_snapshot(now_us_)) return;
    engine_.snapshot(now_us_, trial_.is_on());
    if (trial_.is_on()) tell_trial(TrialPhase::running);
}

void Device::on_event(void* owner, const Event& event) {
    Device& device = *static_cast<Device*>(owner);
    device.count(event);
    device.telemetry_.put(event, device.boot_pointer_);
}

void Device::count(const Event& event) {
    switch (event.kind) {
        case EventKind::ir_frame: count_up(info_.ir_frames); break;
        case EventKind::ir_noise: count_up(info_.ir_noise); break;
        case EventKind::ir_lost: count_up(info_.repeats_lost, event.data[1]); break;
        case EventKind::fault: count_up(info_.faults); break;
        case EventKind::press:
            if (event.data[1] == static_cast<uint8_t>(engine::PressOutcome::hold_limit) &&
                info_.held_limit < 255)
                ++info_.held_limit;
            break;
        default: break;  // only what health reports
    }
}

void Device::receive(Channel channel, const uint8_t* message, uint8_t size, uint32_t now_us) {
    now_us_ = now_us;
    // Replies and errors are never answered: two devices that talk to each other must not do so for ever.
    if (size < k_message_head || size > k_message_max || (message[0] & k_reply) != 0 ||
        message[0] == static_cast<uint8_t>(MessageType::error) || (channel == Channel::serial && !is_dtr_up_))
        return bad_frame();
    count_up(info_.frames_in);
    if (channel == Channel::serial) is_serial_open_ = true;
    asked_ = Asked{channel, static_cast<MessageType>(message[0]), message[1]};
    respond(message + k_message_head, static_cast<uint8_t>(size - k_message_head));
}

void Device::serial_byte(uint8_t byte, uint32_t now_us) {
    if (!is_dtr_up_) return;
    if (unframer_.take(byte)) receive(Channel::serial, unframer_.message(), unframer_.size(), now_us);
    count_up(info_.frames_bad, unframer_.take_bad());
}

void Device::serial_dtr(bool is_up) {
    if (is_up == is_dtr_up_) return;
    is_dtr_up_ = is_up;
    is_serial_open_ = false;  // silent until a valid frame says that it is a host of ours
    unframer_.reset();
    outbox_.clear(Channel::serial);
    telemetry_.unsubscribe(Channel::serial);
    if (job_.asked.channel == Channel::serial && job_.asked.type != MessageType::finish) job_.is_on = false;
}

void Device::bad_frame() {
    count_up(info_.frames_bad);
}

FETTLE_SHARED uint8_t Device::send(Channel channel, uint8_t* to, uint32_t now_us) {
    if (channel == Channel::serial && !is_serial_open_) return 0;
    const uint8_t size = outbox_.take(channel, to);
    if (size == 0) return telemetry_.take(channel, to, now_us);
    set_sent(to, size, now_us);
    return size;
}

TrialReply Device::trial() const {
    TrialReply reply = {trial_.phase(), trial_.id(), trial_.image_crc(), trial_.seconds_left(), 0, 0};
    if (is_ready()) {
        reply.proof = engine_.proof();
        reply.proof_needed = engine_.proof_needed();
    }
    return reply;
}

HelloReply Device::hello() const {
    HelloReply reply;
    memset(&reply, 0, sizeof reply);
    reply.contract_version = engine::k_contract_version;
    reply.engine_build = engine::k_engine_build;
    reply.image_format = k_image_format;
    uint8_t features = k_feature_trial | k_feature_variants;  // one byte holds those that are decided here
    if (k_can_inject && identity_.inject.put != nullptr)
        features = static_cast<uint8_t>(features | k_feature_inject);
    if (identity_.display_rows != 0) features = static_cast<uint8_t>(features | k_feature_display);
    reply.features = identity_.features | features;
    reply.slots = k_slots;
    reply.slot_bytes = k_slot_bytes;
    reply.mirror_bytes = engine::k_mirror_bytes;
    reply.max_inputs = engine::k_max_inputs;
    reply.max_modes = engine::k_max_modes;
    reply.max_variants = engine::k_max_variants;
    reply.current_slot = running_slot_;
    reply.image_size = running_.size;
    reply.image_crc = running_.crc;
    memcpy(reply.profile_id, running_.profile_id, k_profile_id_bytes);
    reply.profile_version = running_.profile_version;
    reply.boot_id = identity_.boot_id;
    memcpy(reply.serial, identity_.serial, sizeof reply.serial);
    reply.board = identity_.board;
    return reply;
}

InfoReply Device::info() const {
    InfoReply reply = info_;
    reply.telemetry_lost = telemetry_.lost();
    reply.storage_writes = slots_.wear();
    reply.resets = slots_.starts();
    return reply;
}

}  // namespace wire
}  // namespace fettle
