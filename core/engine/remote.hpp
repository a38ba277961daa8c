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
    uint8_t
        input;  ///< the input it was counted to; k_no_input: to nobody (unassigned, or a repeat of nothing)
    uint8_t lost;  ///< repeats of that input that must have been lost before this frame (EventKind::ir_lost)
    bool is_new_press;  ///< the button was pressed (anew); the frame before it was another press
};

class Remote {
public:
    void reset();

    /// A decoded frame. input: whose code it is, k_no_input when it is nobody's (ignored for NEC repeat
    /// frames: those carry no code). end_us: end of its last mark, device time; may lie some ticks back.
    /// holdover_ms: that of the input's rule, 0 to 1000 (ignored for repeat frames).
    RemoteHeard frame(uint8_t input, const IrFrame& frame, uint32_t end_us, uint16_t holdover_ms);

    /// The infrared input that is down in this tick, or k_no_input. Call once a tick, after the frames.
    uint8_t tick(uint32_t now_us);

    /// The input whose button was heard last and is still down (also in the one tick in which a new press of
    /// the same button shows as up), or k_no_input.
    uint8_t input() const { return is_down_ ? input_ : k_no_input; }
    /// True when a frame of the input that is down ended after `us` (contract: travel past its delay needs a
    /// repeat received after it). `us` must lie less than 35 minutes back.
    bool heard_after(uint32_t us) const { return is_down_ && static_cast<int32_t>(end_us_ - us) > 0; }
    /// End of the last frame that was counted to input(), device time.
    uint32_t heard_us() const { return end_us_; }

private:
    uint8_t count_lost(const IrFrame& frame, uint32_t end_us);
    bool is_new_press(const IrFrame& frame, uint32_t gap_us) const;
    RemoteHeard repeat(const IrFrame& frame, uint32_t end_us);
    void press(uint8_t input, const IrFrame& frame);

    uint8_t input_;  ///< whose frame was heard last, for as long as that says anything; else k_no_input
    bool is_down_;
    bool is_pausing_;  ///< up for one tick, so that a new press of the same button is seen as one
    Protocol protocol_;
    uint8_t toggle_;
    Protocol repeats_protocol_;  ///< the remote that was seen to send repeat frames
    uint16_t repeats_address_;
    uint16_t address_;
    uint16_t holdover_ms_;
    uint16_t
        period_ms_;      ///< from the start of one frame to the next, nominal, then as observed. 0: not known
    uint32_t start_us_;  ///< start of the last frame, as far as lengths differ (remote.cpp)
    uint32_t end_us_;
};

}  // namespace engine
}  // namespace fettle
