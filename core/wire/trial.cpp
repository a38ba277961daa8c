#include "core/wire/trial.hpp"

namespace fettle {
namespace wire {

namespace {

TrialMove idle_step(TrialEvent event) {
    switch (event) {
        case TrialEvent::begin: return {TrialState::running, TrialAct::start};
        case TrialEvent::keep: return {TrialState::idle, TrialAct::refuse};
        case TrialEvent::written: return {TrialState::idle, TrialAct::bug};
        case TrialEvent::unwritten: return {TrialState::idle, TrialAct::bug};
        case TrialEvent::revert: return {TrialState::idle, TrialAct::refuse};
        case TrialEvent::time: return {TrialState::idle, TrialAct::nothing};
        case TrialEvent::lost: return {TrialState::idle, TrialAct::nothing};
    }
    return {TrialState::idle, TrialAct::bug};
}

TrialMove running_step(TrialEvent event) {
    switch (event) {
        case TrialEvent::begin: return {TrialState::running, TrialAct::refuse};
        case TrialEvent::keep: return {TrialState::keeping, TrialAct::write};
        case TrialEvent::written: return {TrialState::running, TrialAct::bug};
        case TrialEvent::unwritten: return {TrialState::running, TrialAct::bug};
        case TrialEvent::revert: return {TrialState::idle, TrialAct::go_back};
        case TrialEvent::time: return {TrialState::idle, TrialAct::go_back};
        case TrialEvent::lost: return {TrialState::idle, TrialAct::go_back};
    }
    return {TrialState::running, TrialAct::bug};
}

TrialMove keeping_step(TrialEvent event) {
    switch (event) {
        case TrialEvent::begin: return {TrialState::keeping, TrialAct::refuse};
        case TrialEvent::keep: return {TrialState::keeping, TrialAct::nothing};
        case TrialEvent::written: return {TrialState::idle, TrialAct::kept};
        case TrialEvent::unwritten: return {TrialState::running, TrialAct::nothing};
        case TrialEvent::revert: return {TrialState::keeping, TrialAct::refuse};
        case TrialEvent::time: return {TrialState::keeping, TrialAct::nothing};
        case TrialEvent::lost: return {TrialState::keeping, TrialAct::nothing};
    }
    return {TrialState::keeping, TrialAct::bug};
}

}  // namespace

TrialMove trial_step(TrialState state, TrialEvent event) {
    switch (state) {
        case TrialState::idle: return idle_step(event);
        case TrialState::running: return running_step(event);
        case TrialState::keeping: return keeping_step(event);
    }
    return {TrialState::idle, TrialAct::bug};
}

void Trial::reset() {
    state_ = TrialState::idle;
    phase_ = TrialPhase::none;
    id_ = 0;
    image_crc_ = 0;
    left_ms_ = 0;
    length_s_ = 0;
    variant_before_ = 0;
}

void Trial::begin(uint32_t image_crc, uint16_t seconds, uint8_t variant_before) {
    if (take(TrialEvent::begin) != TrialAct::start) return;
    phase_ = TrialPhase::running;
    id_ = id_ == 0xFFFF ? uint16_t{1} : static_cast<uint16_t>(id_ + 1u);
    image_crc_ = image_crc;
    length_s_ = seconds;
    left_ms_ = static_cast<uint32_t>(seconds) * 1000u;
    variant_before_ = variant_before;
}

TrialAct Trial::take(TrialEvent event) {
    const TrialMove move = trial_step(state_, event);
    state_ = move.next;
    if (move.act == TrialAct::kept) phase_ = TrialPhase::kept;
    if (move.act == TrialAct::go_back)
        phase_ = event == TrialEvent::time ? TrialPhase::expired : TrialPhase::reverted;
    return move.act;
}

bool Trial::tick() {
    if (state_ != TrialState::running) return false;
    if (left_ms_ != 0) --left_ms_;
    return left_ms_ == 0;
}

void Trial::extend(uint16_t seconds) {
    const uint32_t wanted_ms = static_cast<uint32_t>(seconds) * 1000u;
    if (state_ == TrialState::running && wanted_ms > left_ms_) left_ms_ = wanted_ms;
}

uint16_t Trial::seconds_left() const {
    if (state_ == TrialState::idle) return 0;
    return static_cast<uint16_t>((left_ms_ + 999u) / 1000u);
}

}  // namespace wire
}  // namespace fettle
