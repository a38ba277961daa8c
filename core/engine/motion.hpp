#pragma once
// How held directions become counts: first step at once, a delay, then travel by the profile's speed table
// (or by the event table of the MouseKeys family). One hold at a time: it begins with the first direction
// that goes down and ends with the last that goes up; directions that join in between keep its time.
//
// Direction   the signs of the sum of all held directions; opposites cancel, and while they do the table's
//             time stands still. The oldest held press says by which motion set the hold travels.
// First step  every press moves its set's first step at once and in its own direction (presses of one tick:
//             together, in their common direction), at least one count on each axis that it points to; what
//             that is too much is taken off the travel of the same hold. A press that joins a hold that
//             travels already moves one count: its answer at once, and the path stays as long as a straight
//             one's.
// Travel      in the ms number e after the delay (0, 1 ...) the table's speed at e: its k_curve_points points
//             lie at the whole ms (k * ramp_ms) / 8, straight lines between them, the last one stays.
// Diagonals   each axis gets 46341 / 65536 (1/sqrt 2) of the length. Not MouseKeys: its table is per axis.
// Remainders  everything below a count is carried through the hold (emitted counts stay within 1 an axis of
//             the exact sum) and dropped at its end: equal presses then give equal travel, and no count of an
//             earlier hold turns up in a later one, perhaps the other way.
// Cadence     a press that begins a hold, `gap` ms after the hold before it began, gap < window, in the same
//             direction, and that hold was one press only: its gain is 1 + (cadence_gain - 1) * (window -
//             gap) / window, rounded down to 1/256 (our own law: a straight line). It multiplies first step
//             and speeds (each point rounded down to Q16, at most 255.99 counts a ms) of the whole hold.
//             Otherwise 1.
// Infrared    has no true release, so a press of it takes part in travel only once a repeat was heard after
// it,
//             at or after press + delay: a short tap never moves twice (its holdover is no hold).
// MouseKeys   event 0 is the press, event i comes at delay + (i - 1) * interval with the table's i-th move on
//             each axis (X Keyboard Extension, MouseKeysAccel). Moves above 32,767 counts a tick saturate.
// Scale       multiplies first steps, travel and MouseKeys moves, remainders carried; a jump is exact.

#include "core/engine/setup.hpp"

namespace fettle {
namespace engine {

constexpr uint8_t k_max_directions = 6;  ///< directions held at once; a further press is ignored
constexpr uint16_t k_scale_one_permille = 1000;
constexpr uint16_t k_scale_least_permille = 50;
constexpr uint16_t k_scale_most_permille = 4000;

class Motion {
public:
    /// Nothing held, nothing owed, scale 1000. Call it before the first use and whenever `setup` changes.
    void reset();

    /// A press begins to hold a direction. motion: index of the set, below setup.motion_count (else ignored).
    /// is_continuous: the source tells releases (switch, axis); infrared ones do not. An input that already
    /// holds begins anew. The first step comes with the next tick, even if end() comes before it.
    void begin(uint8_t input, Direction direction, uint8_t motion, uint16_t now_ms, bool is_continuous,
               const Setup& setup);
    /// That press is over. The last one ends the hold: the next tick gives no travel. Unknown inputs:
    /// nothing.
    void end(uint8_t input, uint16_t now_ms);
    /// A frame of an infrared input was heard now. Inputs that hold no direction: nothing.
    void heard(uint8_t input, uint16_t now_ms);
    /// Ends all holds and drops what is owed, jumps too. The scale stays.
    void stop();

    /// Exact counts on each axis that the direction points to (a diagonal jump moves both by `counts`).
    void jump(Direction direction, uint16_t counts);
    /// Unit: permille; kept within 50 to 4000. From the next tick on.
    void set_scale(uint16_t permille);
    uint16_t scale() const { return scale_permille_; }

    /// Counts of this ms; call it once a ms. What exceeds 16 bits (jumps, first steps) comes with later
    /// ticks.
    void tick(uint16_t now_ms, const Setup& setup, int16_t& dx, int16_t& dy);

    /// True while any press holds a direction.
    bool is_holding() const { return count_ != 0; }
    /// True while nothing is held and nothing is owed: ticks give 0, 0.
    bool is_still() const {
        return count_ == 0 && fresh_amount_ == 0 && (axes_[0].pending | axes_[1].pending) == 0;
    }
    /// Still, and no tap is remembered for cadence (2 s): ticks may be left out until the next call.
    bool is_idle() const { return is_still() && (flags_ & k_tapped) == 0; }

private:
    // flags_
    static constexpr uint8_t k_past_delay = 1;   // this hold's delay is over
    static constexpr uint8_t k_mouse_keys = 2;   // family of this hold
    static constexpr uint8_t k_tapped = 4;       // the last hold was one press, not longer ago than 2 s
    static constexpr uint8_t k_fresh_event = 8;  // the first step to come is a MouseKeys move
    static constexpr uint16_t k_gain_one = 256;

    struct Held {
        uint8_t input : 5;
        uint8_t motion : 3;
        uint8_t bits;  // Direction, k_ready
        uint16_t began_ms;
    };

    uint16_t press_gain(Direction direction, uint16_t now_ms, const MotionHead& head) const;
    void start_hold(uint8_t motion, const MotionHead& head);
    void start_table(const MotionHead& head);
    void change_motion(const Setup& setup);
    void forget_hold();
    void steer();
    static uint32_t times_q8(uint32_t amount, uint16_t factor);
    uint32_t point(const Setup& setup, uint8_t index) const;
    void enter_segment(const Setup& setup);
    uint32_t travel_amount(const Setup& setup);
    uint32_t event_amount(const Setup& setup);
    uint32_t scaled(uint32_t amount);
    void first_step();
    bool is_travelling(uint16_t now_ms, const Setup& setup);
    uint32_t amount_now(const Setup& setup);

    static_assert(k_max_inputs <= 32 && k_max_motions <= 8, "the bits of Held");
    Held held_[k_max_directions];  // in order of press
    uint8_t count_;
    uint8_t flags_;
    /// x, then y.
    struct Axis {
        int8_t sign;      // of the held directions that take part in travel
        int8_t fresh;     // first steps that the next tick gives: sum of their directions
        int16_t owed;     // exact sum less emitted, 1/256 count
        int32_t pending;  // whole counts of jumps and first steps, not yet given
    };
    bool is_diagonal() const { return axes_[0].sign != 0 && axes_[1].sign != 0; }
    Axis axes_[2];
    uint32_t fresh_amount_;  // the longest of the first steps, 1/256 count; 0: none
    // This hold, or the last one.
    uint8_t motion_;
    uint8_t first_direction_;
    uint16_t began_ms_;
    uint16_t delay_ms_;
    uint16_t gain_;  // 1/256
    // Where in the table. Travel: segment, its end and length, speed now. MouseKeys: event, ms to it,
    // interval.
    uint8_t segment_;
    uint16_t elapsed_ms_;
    uint16_t next_ms_;
    uint16_t length_ms_;
    uint32_t speed_;                               // Q16 counts a ms, plus speed_part_ / length_ms_
    int32_t slope_;                                // a ms, plus slope_part_ / length_ms_
    uint16_t speed_part_, slope_part_, sum_part_;  // sum_part_: what earlier ms left of speed_part_
    // What is below a count.
    uint8_t speed_rest_;      // 1/65536 count
    uint16_t diagonal_rest_;  // 1/65536 of 1/256 count
    uint16_t scale_permille_;
    uint16_t scale_rest_;  // 1/1000 of 1/256 count
};

}  // namespace engine
}  // namespace fettle
