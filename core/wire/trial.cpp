#include "core/wire/trial.hpp"

#include "core/wire/rom.hpp"

namespace fettle {
namespace wire {

namespace {

constexpr uint8_t k_events = static_cast<uint8_t>(TrialEvent::lost) + 1;

constexpr uint8_t move(TrialState next, TrialAct act) {
    return static_cast<uint8_t>(static_cast<uint8_t>(next) | static_cast<uint8_t>(act) << 4);
}

constexpr TrialState idle = TrialState::idle;
constexpr TrialState running = TrialState::running;
constexpr TrialState keeping = TrialState::keeping;

/// The table at the top of trial.hpp: a row a state, a column an event.
constexpr uint8_t k_moves[3 * k_events] FETTLE_ROM = {
    // idle
    move(running, TrialAct::start),
    move(idle, TrialAct::refuse),
    move(idle, TrialAct::bug),
    move(idle, TrialAct::bug),
    move(idle, TrialAct::refuse),
    move(idle, TrialAct::nothing),
    move(idle, TrialAct::nothing),
    // running
    move(running, TrialAct::refuse),
    move(keeping, TrialAct::write),
    move(running, TrialAct::bug),
    move(running, TrialAct::bug),
    move(idle, TrialAct::go_back),
    move(idle, TrialAct::go_back),
    move(idle, TrialAct::go_back),
    // keeping
    move(keeping, TrialAct::refuse),
    move(keeping, TrialAct::nothing),
    move(idle, TrialAct::kept),
    move(running, TrialAct::nothing),
    move(keeping, TrialAct::refuse),
    move(keeping, TrialAct::nothing),
    move(keeping, TrialAct::nothing),
};

}  // namespace

TrialMove trial_step(TrialState state, TrialEvent event) {
    const uint8_t at =
        static_cast<uint8_t>(static_cast<uint8_t>(state) * k_events + static_cast<uint8_t>(event));
    const uint8_t move = rom_u8(k_moves + at);
    return TrialMove{static_cast<TrialState>(move & 0x0Fu), static_cast<TrialAct>(move >> 4)};
}

void Trial::reset() {
    memset(this, 0, sizeof *this);
}

void Trial::begin(uint32_t image_crc, uint16_t seconds, uint8_t variant_before) {
    if (take(TrialEvent::begin) != TrialAct::start) return;
    phase_ = TrialPhase::running;
    id_ = id_ == 0xFFFF ? uint16_t{1} : static_cast<uint16_t>(id_ + 1u);
    image_crc_ = image_crc;
    length_s_ = seconds;
    left_s_ = seconds;
    left_ms_ = 0;
    variant_before_ = variant_before;
}

FETTLE_SHARED TrialAct Trial::take(TrialEvent event) {
    const TrialMove move = trial_step(state_, event);
    state_ = move.next;
    if (move.act == TrialAct::kept) phase_ = TrialPhase::kept;
    if (move.act == TrialAct::go_back)
        phase_ = event == TrialEvent::time ? TrialPhase::expired : TrialPhase::reverted;
    return move.act;
}

bool Trial::tick() {
    if (state_ != TrialState::running) return false;
    if (left_ms_ != 0) {
        --left_ms_;
    } else if (left_s_ != 0) {
        --left_s_;
        left_ms_ = 999;
    }
    return (left_s_ | left_ms_) == 0;
}

void Trial::extend(uint16_t seconds) {
    if (state_ != TrialState::running || seconds <= left_s_) return;
    left_s_ = seconds;
    left_ms_ = 0;
}

uint16_t Trial::seconds_left() const {
    if (state_ == TrialState::idle) return 0;
    return left_ms_ != 0 ? static_cast<uint16_t>(left_s_ + 1u) : left_s_;
}

}  // namespace wire
}  // namespace fettle
