#pragma once
// From an input's level to presses and gestures: one state machine an input, all of its rules in one file
// (press.cpp, which begins with the table of all cases). Pure: time is an argument. Freestanding C++14.
//
// How the engine drives it, once a tick:
//     for (uint32_t work = presses.due(levels, now_ms); work != 0; work &= work - 1) {
//         const uint8_t input = lowest bit of work;
//         const PressStep step = presses.step(input, level of input, now_ms, rule, has);
//         emit step.outcomes and step.is_fault, then carry out step.signals;
//     }

#include "core/engine/event.hpp"
#include "core/engine/setup.hpp"

namespace fettle {
namespace engine {

/// What one step of an input's machine asks for, as bits; `begin_*` comes before `end` when both are set (a
/// press that is acted on when it is over begins and ends in one step). Never two begins in one step, never
/// an end without a begin before it, never a begin while another one of the same input has not ended.
constexpr uint8_t k_signal_begin_short = 1;
constexpr uint8_t k_signal_begin_long = 2;
constexpr uint8_t k_signal_begin_double = 4;
constexpr uint8_t k_signal_end = 8;
static_assert(k_signal_begin_double == k_signal_begin_short << static_cast<uint8_t>(Gesture::double_press) &&
                  k_signal_begin_long == k_signal_begin_short << static_cast<uint8_t>(Gesture::long_press),
              "by Gesture");

/// Which gestures are assigned to the input in the mode at the time its press was accepted.
constexpr uint8_t k_has_long = 1;
constexpr uint8_t k_has_double = 2;
static_assert(k_has_long == static_cast<uint8_t>(Gesture::long_press) &&
                  k_has_double == static_cast<uint8_t>(Gesture::double_press),
              "by Gesture");

/// The contact: what the rules before the gestures make of the level.
enum class Contact : uint8_t {
    up = 0,
    waiting = 1,      ///< down, acceptance delay running
    waiting_gap = 2,  ///< up for no longer than bridge_ms, acceptance delay running
    down = 3,         ///< an accepted press
    down_gap = 4,     ///< an accepted press, up for no longer than bridge_ms
    ignored = 5,      ///< down, but not heard until it was up
    ignored_gap = 6,  ///< the same, up for no longer than bridge_ms
};

/// The gesture: what accepted presses become.
enum class Shape : uint8_t {
    none = 0,
    open = 1,        ///< a press that has not begun yet: short, long or the first of two
    held = 2,        ///< begun, ends with the press
    due_long = 3,    ///< a long press that is acted on when it is over
    due_double = 4,  ///< a double press that is acted on when it is over
    between = 5,     ///< after the first of perhaps two presses
};

/// One input. All zero: up and idle. Times are ms on the 16-bit clock of since16().
struct PressState {
    Contact contact FETTLE_BITS(4);
    Shape shape FETTLE_BITS(4);
    uint8_t flags;
    uint16_t press_ms;  ///< waiting: went down; from then on: was accepted (refractory, long, longest hold)
    uint16_t up_ms;     ///< last went up (bridge, debounce)
    union {             // the pairs of press.cpp leave no state that needs both
        uint16_t held_ds;      ///< down, down_gap: tenths of a second since accepted, counted while down
        uint16_t first_up_ms;  ///< otherwise; between: when the first press was let go
    };
};

/// What one step brought.
struct PressStep {
    uint8_t signals;  ///< k_signal_*
    uint8_t outcome_count;
    PressOutcome outcomes[2];  ///< in order
    bool is_fault;  ///< a state that cannot be was met (Fault::impossible_state); the input was let go and is
                    ///< ignored until it was really up
};

/// One tick of one input. is_down: what the source says. has: k_has_* now (kept from the acceptance on).
/// is_guarded: another input's press was accepted less than rule.guard_ms ago. Call it every millisecond
/// while the input is down or not idle; never more than 60 s apart.
PressStep press_step(PressState& state, bool is_down, uint16_t now_ms, const RuleDef& rule, uint8_t has,
                     bool is_guarded);

/// True when nothing is pending or held: steps with the level up would change nothing.
bool press_is_idle(const PressState& state);

/// Forgets the gesture without a signal; what is down, or up in a gap that may still be closed, is ignored
/// until it was really up. Debounce and refractory time go on, and a hold limit is still told to be over.
void press_ignore(PressState& state, bool is_down);

/// Another input was pressed: a running debounce ends (press.cpp, X Keyboard Extension).
void press_end_debounce(PressState& state);

/// All inputs of an engine, and what they mean to one another (presses.cpp): the neighbour guard, and the
/// debounce that another input's press ends.
class Presses {
public:
    /// All idle, nobody guards. Call before first use.
    void reset();

    /// A profile or variant was loaded, or everything is to be let go: forgets all gestures without a signal
    /// (the caller has already let go). Inputs in `levels` are ignored until they were really up; see
    /// press_ignore(). Nobody guards.
    void ignore_until_up(uint32_t levels);

    /// Inputs that need a step in this tick: those that are down and those that are not idle. Call once a
    /// tick. levels: a bit per input.
    uint32_t due(uint32_t levels, uint16_t now_ms);

    /// See press_step(). input: below k_max_inputs.
    PressStep step(uint8_t input, bool is_down, uint16_t now_ms, const RuleDef& rule, uint8_t has);

    /// True while a gesture of the input has begun and not ended.
    bool is_held(uint8_t input) const { return state(input).shape == Shape::held; }
    /// True while no input is down, pending or held.
    bool is_idle() const { return active_ == 0; }
    const PressState& state(uint8_t input) const { return states_[input]; }

private:
    bool is_guarded(uint8_t input, uint16_t now_ms, uint16_t guard_ms) const;
    void note_accepted(uint8_t input, uint16_t now_ms);
    void note_idle(uint8_t input);
    void end_debounces();

    PressState states_[k_max_inputs];
    uint32_t active_;      ///< a bit per input that is not idle
    uint8_t last_input_;   ///< whose press was accepted last, k_no_input: nobody's within k_longest_guard_ms
    uint8_t other_input_;  ///< the last accepted one that was not last_input_'s
    uint16_t last_ms_, other_ms_;
};

/// The longest guard_ms (setup.hpp).
constexpr uint16_t k_longest_guard_ms = 2000;

}  // namespace engine
}  // namespace fettle
