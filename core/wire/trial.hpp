#pragma once
// The trial of a pushed profile: on until someone keeps it; anything else brings back the one before.
//
//            | begin   | keep          | written    | unwritten | revert       | time         | lost
//  idle      | running | refuse        | bug        | bug       | refuse       | -            | -
//  running   | refuse  | keeping,write | bug        | bug       | idle,go back | idle,go back | idle,go back
//  keeping   | refuse  | -             | idle,kept  | running   | refuse       | -            | -
//
// keep: asked for, and proven or overridden. written / unwritten: the commit byte was written and read back,
// or was not. lost: cable, suspend (a start needs no event: the trial is a flag in RAM only). While `keeping`
// the answer is being written, and neither time nor cable takes it back.

#include "core/wire/message.hpp"

namespace fettle {
namespace wire {

enum class TrialState : uint8_t { idle, running, keeping };
enum class TrialEvent : uint8_t { begin, keep, written, unwritten, revert, time, lost };
enum class TrialAct : uint8_t { nothing, refuse, start, write, kept, go_back, bug };

struct TrialMove {
    TrialState next;
    TrialAct act;
};
TrialMove trial_step(TrialState state, TrialEvent event);

/// The clock and the name of the trial around the machine above.
class Trial {
public:
    void reset();
    /// seconds: 20 to 600.
    void begin(uint32_t image_crc, uint16_t seconds, uint8_t variant_before);
    /// Takes an event, notes how a trial ended, and gives what must be done now.
    TrialAct take(TrialEvent event);
    /// One millisecond. True when the time is over (nothing has been taken yet).
    bool tick();
    /// Only ever lengthens. seconds from now: 20 to 600.
    void extend(uint16_t seconds);
    /// By as much as the trial began with: what the device's own action does.
    void extend_again() { extend(length_s_); }

    bool is_on() const { return state_ != TrialState::idle; }
    TrialState state() const { return state_; }
    /// The trial that runs or the last one. 0: none since start.
    uint16_t id() const { return id_; }
    bool is_named(uint16_t id, uint32_t image_crc) const {
        return id_ != 0 && id == id_ && image_crc == image_crc_;
    }
    uint32_t image_crc() const { return image_crc_; }
    TrialPhase phase() const { return phase_; }
    uint8_t variant_before() const { return variant_before_; }
    /// Rounded up: 1 as long as it runs at all.
    uint16_t seconds_left() const;

private:
    TrialState state_;
    TrialPhase phase_;
    uint16_t id_;
    uint32_t image_crc_;
    uint16_t left_s_, left_ms_;  ///< the second: 0 to 999
    uint16_t length_s_;
    uint8_t variant_before_;
};

}  // namespace wire
}  // namespace fettle
