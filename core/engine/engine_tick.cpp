// One millisecond of the engine, stage by stage in the order in which they run.

#include "core/engine/bits.hpp"
#include "core/engine/engine.hpp"

namespace fettle {
namespace engine {

void Engine::tick(const TickInputs& in, TickOutputs& out) {
    memset(&out, 0, sizeof out);
    ++now_ms_;
    const uint32_t before = down_;
    if (in.leds != leds_) {
        leds_ = in.leds;
        emit(sink_, in.now_us, EventKind::leds, leds_);
    }
    take_edges(in);
    if (setup_ != nullptr) {
        take_levels(in, before);
        take_commands(in);
        if (!gestures_.is_empty()) act(in.now_us);
        take_presses(in.now_us);
        move_on(in.now_us, out);
    }
    is_first_tick_ = false;
    output_.tick(in, out, sink_);
    if (setup_ != nullptr) look_for_proofs();
}

/// What goes on by itself: repeats, text, motion.
void Engine::move_on(uint32_t now_us, TickOutputs& out) {
    actions_.tick(work(now_us), leds_);
    int16_t dx = 0;
    int16_t dy = 0;
    if (!motion_.is_idle()) motion_.tick(now_ms_, *setup_, dx, dy);
    if ((dx | dy) != 0) output_.move(dx, dy);
    out.wishes = actions_.take_wishes(out.variant);
}

void Engine::look_for_proofs() {
    Proofs& proofs = actions_.proofs();
    if (!proofs.look(*setup_) || proofs.is_complete()) return;
    if (output_.has_clicked()) proofs.reach(k_proof_clicked);
    if (proofs.is_press_over() && !output_.holds_anything()) proofs.reach(k_proof_let_go);
}

/// Levels are never dropped, or a switch could stay down for ever; infrared edges are, when they are too many
/// to be a remote's, and what is told of edges is cut at k_max_edges.
void Engine::take_edges(const TickInputs& in) {
    uint8_t infrared = 0;
    for (uint8_t i = 0; i < in.edge_count; ++i) {
        const Edge& edge = in.edges[i];
        if (i < k_max_edges) emit(sink_, edge.at_us, EventKind::edge, edge.line, edge.level);
        if (edge.line == 0) ++infrared;
    }
    const bool is_noise = infrared > k_max_ir_edges;
    const uint8_t untold =
        static_cast<uint8_t>(in.edge_count > k_max_edges ? in.edge_count - k_max_edges : 0);
    if (is_noise || untold > 0) emit(sink_, in.now_us, EventKind::ir_noise, is_noise ? infrared : untold);
    IrFrame frame;
    uint32_t end_us = 0;
    for (uint8_t i = 0; i < in.edge_count; ++i) {
        const Edge& edge = in.edges[i];
        if (edge.line != 0) {
            lines_.edge(setup_, edge, down_);
        } else if (is_noise) {
            receiver_.noise(edge);
        } else if (receiver_.edge(edge, frame, end_us)) {
            take_frame(frame, end_us);
        }
    }
    if (receiver_.quiet(in.now_us, frame, end_us)) take_frame(frame, end_us);
}

uint8_t Engine::input_of(Protocol protocol, uint32_t code) const {
    for (uint8_t i = 0; i < setup_->input_count; ++i) {
        const InputDef input = setup_->input(i);
        if (static_cast<uint8_t>(input.source) == static_cast<uint8_t>(protocol) && input.code == code)
            return i;
    }
    return k_no_input;
}

void Engine::take_frame(const IrFrame& frame, uint32_t end_us) {
    const uint32_t code = ir_code(frame);
    uint8_t data[6];
    data[0] = static_cast<uint8_t>(static_cast<uint8_t>(frame.protocol) | (frame.repeat ? 0x80 : 0));
    data[1] = frame.toggle;
    put32(data + 2, code);
    emit_bytes(sink_, end_us, EventKind::ir_frame, data, sizeof data);
    if (setup_ == nullptr) return;
    const uint8_t input = input_of(frame.protocol, code);
    uint16_t holdover_ms = 0;
    if (input != k_no_input) {
        holdover_ms = setup_->rule_of(input).holdover_ms;
        remote_code_ = code;
        remote_protocol_ = frame.protocol;
    }
    const RemoteHeard heard = remote_.frame(input, frame, end_us, holdover_ms);
    if (heard.lost > 0) emit(sink_, end_us, EventKind::ir_lost, heard.input, heard.lost);
    if (heard.input != k_no_input) motion_.heard(heard.input, now_ms_);
}

/// The source's levels as they stand at the end of this millisecond.
void Engine::take_levels(const TickInputs& in, uint32_t before) {
    lines_.axes(*setup_, in.axes, down_);
    const uint8_t heard = remote_.tick(in.now_us);
    if (heard != remote_down_) {
        if (remote_down_ != k_no_input) set_bit(down_, remote_down_, false);
        if (heard != k_no_input) set_bit(down_, heard, true);
        remote_down_ = heard;
    }
    for (uint32_t changed = before ^ down_; changed != 0;) {
        const uint8_t input = take_lowest(changed);
        emit(sink_, in.now_us, EventKind::level, input, has_bit(down_, input) ? 1 : 0);
    }
    if (is_first_tick_) presses_.ignore_until_up(down_);
}

void Engine::take_commands(const TickInputs& in) {
    const bool was_suspended = is_suspended_;
    is_suspended_ = (in.commands & k_command_suspended) != 0;
    if (in.commands == 0) return;
    Cause cause = Cause::suspend;
    if ((in.commands & k_command_cable_lost) != 0) {
        cause = Cause::cable;
    } else if ((in.commands & k_command_release_all) != 0) {
        cause = Cause::host;
    } else if (was_suspended) {
        return;
    }
    // What output holds it lets go itself, when it reads the same commands in its tick.
    release_presses(in.now_us, cause);
}

/// What is up ends before anything else begins: one remote's button takes over from another in one tick.
void Engine::take_presses(uint32_t now_us) {
    const uint32_t due = presses_.due(down_, now_ms_);
    step_presses(due & ~down_, now_us);
    step_presses(due & down_, now_us);
}

void Engine::step_presses(uint32_t due, uint32_t now_us) {
    while (due != 0) {
        const uint8_t input = take_lowest(due);
        const RuleDef rule = setup_->rule_of(input);
        uint8_t has = 0;
        if (!presses_.is_held(input)) {
            const uint8_t mode = actions_.mode();
            for (uint8_t gesture = k_has_long; gesture <= k_has_double; ++gesture)
                if (setup_->number(mode, input, static_cast<Gesture>(gesture)) != 0)
                    has = static_cast<uint8_t>(has | gesture);
        }
        take_step(presses_.step(input, has_bit(down_, input), now_ms_, rule, has), input, now_us);
    }
}

void Engine::take_step(const PressStep& step, uint8_t input, uint32_t now_us) {
    if (step.is_fault) emit(sink_, now_us, EventKind::fault, static_cast<uint8_t>(Fault::impossible_state));
    for (uint8_t i = 0; i < step.outcome_count; ++i) {
        emit(sink_, now_us, EventKind::press, input, static_cast<uint8_t>(step.outcomes[i]));
        if (step.outcomes[i] == PressOutcome::hold_limit && gestures_.is_empty())
            actions_.end(work(now_us), input, Cause::hold_limit);
    }
    if (step.signals == 0) return;
    uint8_t signal = k_signal_begin_short;
    for (uint8_t gesture = 0; gesture < k_gestures; ++gesture, signal = static_cast<uint8_t>(signal << 1))
        if ((step.signals & signal) != 0) queue(Waiting{input, false, static_cast<Gesture>(gesture)}, now_us);
    if ((step.signals & k_signal_end) != 0) queue(Waiting{input, true, Gesture::short_press}, now_us);
}

/// A press that finds no room is let go, with all that it has waiting: lost, told, but never stuck.
void Engine::queue(const Waiting& waiting, uint32_t now_us) {
    if (!gestures_.add(waiting)) {
        emit(sink_, now_us, EventKind::fault, static_cast<uint8_t>(Fault::queue_full));
        gestures_.drop(waiting.input);
        actions_.end(work(now_us), waiting.input, Cause::fault);
    }
    act(now_us);
}

void Engine::act(uint32_t now_us) {
    const Work now = work(now_us);
    while (!gestures_.is_empty()) {
        const Waiting first = gestures_.first();
        if (first.is_end) {
            actions_.end(now, first.input, Cause::press);
        } else if (is_suspended_) {
            actions_.refuse(now, first.input, first.gesture);
        } else if (!actions_.begin(now, first.input, first.gesture)) {
            return;
        }
        gestures_.drop_first();
        if (actions_.take_release()) {
            release_presses(now_us, Cause::press);
            output_.release_all(now_us, Cause::press, sink_);
        }
    }
}

}  // namespace engine
}  // namespace fettle
