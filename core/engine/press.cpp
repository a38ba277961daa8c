// Two small machines in a row for each input. All cases:
//
// CONTACT: bridge, debounce, refractory, guard, acceptance, longest hold.
//   state       | level down                              | level up
//   ------------+-----------------------------------------+--------------------------------------------------
//   up          | debouncing: ignored, bounced            | -
//               | refractory: ignored, refractory         |
//               | guarded: ignored, guarded               |
//               | acceptance 0: down, ACCEPTED            |
//               | else: waiting                           |
//   waiting     | acceptance over, guarded: ignored       | bridge 0: up, too_short
//               | acceptance over: down, ACCEPTED         | else: waiting_gap
//   waiting_gap | bridged, then as waiting                | bridge over: up, too_short
//   down        | longest hold over: ignored, LIMIT       | bridge 0: up, ENDED
//               | else HOLDING                            | else: down_gap (at the longest hold: as there)
//   down_gap    | bridged, then as down                   | bridge over: up, ENDED
//               |                                         | longest hold over: ignored_gap, LIMIT
//   ignored     | -                                       | bridge 0: up (really_up after a limit)
//               |                                         | else: ignored_gap
//   ignored_gap | ignored                                 | bridge over: up (really_up after a limit)
//   press_ignore(): down to ignored, a gap to ignored_gap, up stays; and the shape to none.
//   The debounce runs from each moment at which the level went up, and matters in `up` only: that of a gap
//   that was closed is forgotten, because the next one starts it again.
//
// SHAPE: short, long, double, act on release. Empty: impossible, a fault.
//   state      | ACCEPTED                | HOLDING               | ENDED              | LIMIT          | else
//   -----------+-------------------------+-----------------------+--------------------+----------------+-----
//   none       | plain: begin short,held |                       |                    |                | -
//              | else: open              |                       |                    |                |
//   open       |                         | long over:            | has double:        | short: begin,  | -
//              |                         |   begin long, held    |   between, then *  | end; none      |
//              |                         |   (due_long)          | else short: begin, |                |
//              |                         |                       |   end; none        |                |
//   held       |                         | -                     | end; none          | end; none      | -
//   due_long   |                         | -                     | begin, end; none   | begin, end     | -
//   due_double |                         | -                     | begin, end; none   | begin, end     | -
//   between    | begin double, held      |                       |                    |                | *
//              | (due_double)            |                       |                    |                |
//   plain: neither long nor double assigned, acted on at once. (In brackets: acted on release.)
//   * double_ms over since the first press was let go, and no second press waits for its acceptance: short:
//     begin, end; none.
//   Both long and double: the first press becomes long, or is let go before that and may become the first of
//   two. The second press of a double is never long.
//
// PAIRS that can be between two steps; any other is a fault: {up, waiting, waiting_gap, ignored, ignored_gap}
// with {none, between}; {down, down_gap} with {open, held, due_long, due_double}.
//
// Order and time. The level decides before a timer that is over in the same tick, so a timer of n ms needs n
// ms of level. Nothing is decided inside a gap but the longest hold. Refractory time, guard, long and longest
// hold count from the acceptance, as each control of the X Keyboard Extension works on what the one before it
// let through. A double press counts from up to down, so that acceptance cannot make it impossible.
//
// X Keyboard Extension: Protocol Specification, "Applying Global Controls": a release starts the debounce,
// another key's press ends it, and what BounceKeys lets through goes on to SlowKeys. Followed here. Where
// sources differ: (a) the section on the control says that a key is disabled after it was pressed, the one on
// processing, and the X.Org server, after its release: we follow the latter. (b) The server looks at
// BounceKeys only while SlowKeys are off; the specification chains both: we follow the specification. (c) The
// server restarts the debounce at every release, that of an ignored press too; the specification says only
// "released": we do as the server.

#include "core/engine/press.hpp"

namespace fettle {
namespace engine {
namespace {

constexpr uint8_t k_debouncing = 1;   // since up_ms
constexpr uint8_t k_refractory = 2;   // since press_ms
constexpr uint8_t k_after_limit = 4;  // ignored because of the longest hold
constexpr uint8_t k_has_shift = 3;    // k_has_* of the press, kept from its acceptance on

constexpr uint16_t k_ms_a_tenth = 100;
constexpr uint16_t k_shortest_longest_hold_ds = 5;  // never off, whatever a broken rule says

/// What the contact tells the shape.
enum class Heard : uint8_t { nothing, accepted, holding, ended, limit };

/// One step on its way through both machines.
struct Step {
    PressState& state;
    const RuleDef& rule;
    PressStep& result;
    uint16_t now_ms;
    bool is_guarded;

    void tell(PressOutcome outcome) { result.outcomes[result.outcome_count++] = outcome; }
    bool is_over(uint16_t from_ms, uint16_t span_ms) const { return since16(now_ms, from_ms) >= span_ms; }
};

bool is_accepted(Contact contact) {
    return contact == Contact::down || contact == Contact::down_gap;
}

bool is_possible(Contact contact, Shape shape) {
    if (contact > Contact::ignored_gap || shape > Shape::between) return false;
    return is_accepted(contact) != (shape == Shape::none || shape == Shape::between);
}

void clear_flag(PressState& state, uint8_t flag) {
    state.flags = static_cast<uint8_t>(state.flags & ~flag);
}

void run_timers(Step& step) {
    PressState& state = step.state;
    if ((state.flags & k_debouncing) != 0 && step.is_over(state.up_ms, step.rule.debounce_ms)) {
        clear_flag(state, k_debouncing);
    }
    if ((state.flags & k_refractory) != 0 && step.is_over(state.press_ms, step.rule.refractory_ms)) {
        clear_flag(state, k_refractory);
    }
    if (!is_accepted(state.contact)) return;
    // 16 bits of ms cannot tell 600 s: whole tenths are counted off as they go by.
    while (step.is_over(static_cast<uint16_t>(state.press_ms + state.held_ds * k_ms_a_tenth), k_ms_a_tenth)) {
        ++state.held_ds;
    }
}

Heard ignore(Step& step, PressOutcome why) {
    step.tell(why);
    step.state.contact = Contact::ignored;
    return Heard::nothing;
}

Heard accept(Step& step) {
    if (step.is_guarded) return ignore(step, PressOutcome::guarded);
    step.tell(PressOutcome::accepted);
    step.state.contact = Contact::down;
    step.state.press_ms = step.now_ms;
    step.state.held_ds = 0;
    if (step.rule.refractory_ms != 0) step.state.flags |= k_refractory;
    return Heard::accepted;
}

/// The level went up: either a gap begins or the press is over.
bool is_let_go_at_once(Step& step, Contact gap) {
    step.state.up_ms = step.now_ms;
    if (step.rule.debounce_ms != 0) step.state.flags |= k_debouncing;
    step.state.contact = step.rule.bridge_ms == 0 ? Contact::up : gap;
    return step.rule.bridge_ms == 0;
}

bool is_gap_too_long(Step& step) {
    if (!step.is_over(step.state.up_ms, step.rule.bridge_ms)) return false;
    step.state.contact = Contact::up;
    return true;
}

Heard press_while_up(Step& step) {
    if ((step.state.flags & k_debouncing) != 0) return ignore(step, PressOutcome::bounced);
    if ((step.state.flags & k_refractory) != 0) return ignore(step, PressOutcome::refractory);
    if (step.is_guarded) return ignore(step, PressOutcome::guarded);
    if (step.rule.acceptance_ms == 0) return accept(step);
    step.state.contact = Contact::waiting;
    step.state.press_ms = step.now_ms;
    return Heard::nothing;
}

Heard wait_on(Step& step) {
    step.state.contact = Contact::waiting;
    return step.is_over(step.state.press_ms, step.rule.acceptance_ms) ? accept(step) : Heard::nothing;
}

bool is_limit_reached(const Step& step) {
    const uint16_t limit_ds = step.rule.longest_hold_ds;
    return step.state.held_ds >=
           (limit_ds < k_shortest_longest_hold_ds ? k_shortest_longest_hold_ds : limit_ds);
}

Heard hold_on(Step& step, Contact held, Contact ignored) {
    step.state.contact = held;
    if (!is_limit_reached(step)) return held == Contact::down ? Heard::holding : Heard::nothing;
    step.tell(PressOutcome::hold_limit);
    step.state.contact = ignored;
    step.state.flags |= k_after_limit;
    return Heard::limit;
}

Heard too_short_if(Step& step, bool is_over) {
    if (is_over) step.tell(PressOutcome::too_short);
    return Heard::nothing;
}

Heard ended_if(Step& step, bool is_over) {
    if (!is_over) return hold_on(step, Contact::down_gap, Contact::ignored_gap);
    step.tell(PressOutcome::ended);
    return Heard::ended;
}

Heard heard_again_if(Step& step, bool is_over) {
    if (!is_over) return Heard::nothing;
    if ((step.state.flags & k_after_limit) != 0) step.tell(PressOutcome::really_up);
    clear_flag(step.state, k_after_limit);
    return Heard::nothing;
}

Heard contact_down(Step& step) {
    switch (step.state.contact) {
        case Contact::up: return press_while_up(step);
        case Contact::waiting: return wait_on(step);
        case Contact::waiting_gap: step.tell(PressOutcome::bridged); return wait_on(step);
        case Contact::down: return hold_on(step, Contact::down, Contact::ignored);
        case Contact::down_gap:
            step.tell(PressOutcome::bridged);
            return hold_on(step, Contact::down, Contact::ignored);
        case Contact::ignored: return Heard::nothing;
        case Contact::ignored_gap: step.state.contact = Contact::ignored; return Heard::nothing;
    }
    return Heard::nothing;  // is_possible() has seen to it
}

Heard contact_up(Step& step) {
    switch (step.state.contact) {
        case Contact::up: return Heard::nothing;
        case Contact::waiting: return too_short_if(step, is_let_go_at_once(step, Contact::waiting_gap));
        case Contact::waiting_gap: return too_short_if(step, is_gap_too_long(step));
        case Contact::down: return ended_if(step, is_let_go_at_once(step, Contact::down_gap));
        case Contact::down_gap: return ended_if(step, is_gap_too_long(step));
        case Contact::ignored: return heard_again_if(step, is_let_go_at_once(step, Contact::ignored_gap));
        case Contact::ignored_gap: return heard_again_if(step, is_gap_too_long(step));
    }
    return Heard::nothing;  // is_possible() has seen to it
}

/// With ticks left out, an up can be overdue when the level is down again. It comes first, the level counts
/// from the next step on: one step never holds more than one gesture.
bool is_up_overdue(const Step& step) {
    const PressState& state = step.state;
    switch (state.contact) {
        case Contact::waiting_gap:
        case Contact::down_gap:
        case Contact::ignored_gap: return since16(step.now_ms, state.up_ms) > step.rule.bridge_ms;
        case Contact::up:
            return state.shape == Shape::between &&
                   since16(step.now_ms, state.first_up_ms) > step.rule.double_ms;
        case Contact::waiting:
        case Contact::down:
        case Contact::ignored: return false;
    }
    return false;
}

bool has(const Step& step, uint8_t bit) {
    return (step.state.flags & (bit << k_has_shift)) != 0;
}

void keep_assigned(Step& step, uint8_t assigned) {
    uint8_t kept = 0;
    if (step.rule.long_ms != 0) kept = static_cast<uint8_t>(kept | (assigned & k_has_long));
    if (step.rule.double_ms != 0) kept = static_cast<uint8_t>(kept | (assigned & k_has_double));
    clear_flag(step.state, (k_has_long | k_has_double) << k_has_shift);
    step.state.flags = static_cast<uint8_t>(step.state.flags | (kept << k_has_shift));
}

/// A gesture is known while the press goes on: acted on now, or when it is over.
void begin(Step& step, uint8_t signal, Shape due) {
    const bool waits = (step.rule.flags & k_rule_act_on_release) != 0;
    step.state.shape = waits ? due : Shape::held;
    if (!waits) step.result.signals = signal;
}

/// The gesture is over in this step. signal: its begin, 0 where it has begun before.
void finish(Step& step, uint8_t signal) {
    step.state.shape = Shape::none;
    step.result.signals = static_cast<uint8_t>(step.result.signals | signal | k_signal_end);
}

bool shape_accepted(Step& step, uint8_t assigned) {
    switch (step.state.shape) {
        case Shape::none:
            keep_assigned(step, assigned);
            if (has(step, k_has_long) || has(step, k_has_double)) {
                step.state.shape = Shape::open;
            } else {
                begin(step, k_signal_begin_short, Shape::open);
            }
            return true;
        case Shape::between: begin(step, k_signal_begin_double, Shape::due_double); return true;
        case Shape::open:
        case Shape::held:
        case Shape::due_long:
        case Shape::due_double: return false;
    }
    return false;
}

bool shape_holding(Step& step) {
    switch (step.state.shape) {
        case Shape::open:
            if (has(step, k_has_long) && step.is_over(step.state.press_ms, step.rule.long_ms)) {
                begin(step, k_signal_begin_long, Shape::due_long);
            }
            return true;
        case Shape::held:
        case Shape::due_long:
        case Shape::due_double: return true;
        case Shape::none:
        case Shape::between: return false;
    }
    return false;
}

bool shape_over(Step& step, bool is_limit) {
    switch (step.state.shape) {
        case Shape::open:
            if (has(step, k_has_double) && !is_limit) {
                step.state.shape = Shape::between;
                step.state.first_up_ms = step.state.up_ms;
            } else {
                finish(step, k_signal_begin_short);
            }
            return true;
        case Shape::held: finish(step, 0); return true;
        case Shape::due_long: finish(step, k_signal_begin_long); return true;
        case Shape::due_double: finish(step, k_signal_begin_double); return true;
        case Shape::none:
        case Shape::between: return false;
    }
    return false;
}

void wait_for_second(Step& step) {
    const Contact contact = step.state.contact;
    const bool second_waits = contact == Contact::waiting || contact == Contact::waiting_gap;
    if (step.state.shape != Shape::between || second_waits) return;
    if (step.is_over(step.state.first_up_ms, step.rule.double_ms)) finish(step, k_signal_begin_short);
}

/// False: an impossible pair.
bool shape_step(Step& step, Heard heard, uint8_t assigned) {
    switch (heard) {
        case Heard::accepted: return shape_accepted(step, assigned);
        case Heard::holding: return shape_holding(step);
        case Heard::limit:
            // A long press that is due in the very tick of the limit comes first.
            return (step.state.contact != Contact::ignored || shape_holding(step)) && shape_over(step, true);
        case Heard::ended:
            if (!shape_over(step, false)) return false;
            break;
        case Heard::nothing: break;
    }
    wait_for_second(step);
    return true;
}

/// Lets go of an input whose state cannot be, and hears it again once it was really up.
PressStep fault(PressState& state) {
    PressStep result = {};
    result.is_fault = true;
    if (state.shape == Shape::held) result.signals = k_signal_end;
    state = PressState{};
    state.contact = Contact::ignored;
    return result;
}

}  // namespace

PressStep press_step(PressState& state, bool is_down, uint16_t now_ms, const RuleDef& rule, uint8_t has,
                     bool is_guarded) {
    if (!is_possible(state.contact, state.shape)) return fault(state);
    PressStep result = {};
    Step step = {state, rule, result, now_ms, is_guarded};
    run_timers(step);
    const Heard heard = is_down && !is_up_overdue(step) ? contact_down(step) : contact_up(step);
    return shape_step(step, heard, has) ? result : fault(state);
}

bool press_is_idle(const PressState& state) {
    return state.contact == Contact::up && state.shape == Shape::none &&
           (state.flags & (k_debouncing | k_refractory)) == 0;
}

void press_ignore(PressState& state, bool is_down) {
    const bool is_in_gap = state.contact == Contact::waiting_gap || state.contact == Contact::down_gap ||
                           state.contact == Contact::ignored_gap;
    state.contact = is_down ? Contact::ignored : (is_in_gap ? Contact::ignored_gap : Contact::up);
    state.shape = Shape::none;
    state.flags &= k_debouncing | k_refractory | k_after_limit;
}

void press_end_debounce(PressState& state) {
    clear_flag(state, k_debouncing);
}
}  // namespace engine
}  // namespace fettle
