#pragma once
// Which infrared input is down. A remote sends no release: its button is down from the first frame while
// frames keep coming, and up `holdover` after the end of the last one. One remote sends one button at a time,
// so at most one infrared input is down. Pure: time is an argument. Freestanding C++14.
//
// How the engine drives it, once a tick: frame() for each decoded frame, then tick(), whose answer is the
// level of all infrared inputs.

#include "core/engine/infrared_frame.hpp"
#include "core/engine/limits.hpp"

namespace fettle {
namespace engine {

/// What a frame turned out to be.
struct RemoteHeard {
    uint8_t input;  ///< the input it belongs to; k_no_input: nobody's (unassigned, or a repeat of nothing)
    uint8_t lost;   ///< repeats of that input that must have been lost before it (EventKind::ir_lost)
    bool is_new_press;  ///< the button was pressed (anew)
};

class Remote {
public:
    void reset();

    /// A decoded frame. input: whose code it is, k_no_input when it is nobody's (ignored for NEC repeat
    /// frames: those carry no code). end_us: end of its last mark, device time; may lie some ticks back, or
    /// 70 ms (Sharp). holdover_ms: that of the input's rule, 0 to 1000; each frame is down for one tick at
    /// least (ignored for repeat frames).
    RemoteHeard frame(uint8_t input, const IrFrame& frame, uint32_t end_us, uint16_t holdover_ms);

    /// The infrared input that is down in this tick, or k_no_input. Call once a tick, after the frames.
    uint8_t tick(uint32_t now_us);

    /// The input whose button is down, also in the one tick in which a new press of the same button shows as
    /// up; or k_no_input.
    uint8_t input() const { return is_down_ ? input_ : k_no_input; }
    /// True when a frame of the input that is down ended after `us` (contract: travel past its delay needs a
    /// repeat received after it). `us` must lie less than 35 minutes back.
    bool heard_after(uint32_t us) const { return is_down_ && static_cast<int32_t>(end_us_ - us) > 0; }
    /// The input that is down has another number in the profile that was loaded.
    void renumber(uint8_t input) {
        if (is_down_) input_ = input;
    }
    /// End of the last frame of input(), device time.
    uint32_t heard_us() const { return end_us_; }

private:
    RemoteHeard hear_repeat(uint8_t input, const IrFrame& frame, uint32_t end_us);
    RemoteHeard press(uint8_t input, const IrFrame& frame, uint32_t end_us);
    RemoteHeard go_on(const IrFrame& frame, uint32_t end_us);
    bool is_pressed_anew(const IrFrame& frame, uint32_t end_us) const;
    bool is_within_holdover(uint32_t end_us) const;
    uint8_t count_lost(uint32_t start_us);

    uint8_t input_;  ///< whose frame was heard last, for as long as that says anything; else k_no_input
    bool is_down_;
    uint8_t owed_;  ///< 2: a tick up and a tick down, 1: a tick down, whatever the holdover says
    uint8_t toggle_;
    Protocol protocol_;
    uint16_t address_;
    Protocol repeats_protocol_;  ///< the remote that was seen to send repeat frames
    uint16_t repeats_address_;
    uint16_t holdover_ms_;
    uint16_t period_ms_;  ///< from the start of one frame to the next, nominal or as observed. 0: not known
    uint32_t start_us_;   ///< start of the last frame that was heard of input_
    uint32_t end_us_;     ///< end of the last frame that held input_ down
};

}  // namespace engine
}  // namespace fettle
