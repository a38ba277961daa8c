#include "core/engine/actions.hpp"

namespace fettle {
namespace engine {

namespace {

/// Wheel detents are positive away from the person (up), pan is positive to the right.
/// Source: HID Usage Tables, Generic Desktop "Wheel"; Consumer page "AC Pan".
FETTLE_SHARED void scroll_once(Output& output, const ActionDef& action) {
    const int8_t detents = static_cast<int8_t>(action.a > 127 ? 127 : action.a);
    const int8_t back = static_cast<int8_t>(-detents);
    const Direction direction = static_cast<Direction>(action.style);
    if (direction == Direction::up) {
        output.scroll(detents, 0);
    } else if (direction == Direction::down) {
        output.scroll(back, 0);
    } else {
        output.scroll(0, action.style < static_cast<uint8_t>(Direction::down) ? detents : back);
    }
}

void tell(const Work& work, uint8_t input, uint8_t number, ActionPhase phase) {
    emit(work.sink, work.now_us, EventKind::action, input, number, static_cast<uint8_t>(phase));
}

}  // namespace

uint8_t repeat_of(const ActionDef& action) {
    if (action.kind == ActionKind::scroll || action.kind == ActionKind::grid_move) return action.b;
    if (action.kind != ActionKind::chord) return 0;
    const uint8_t first = static_cast<uint8_t>(ChordStyle::repeat_first);
    return action.style < first ? uint8_t{0} : static_cast<uint8_t>(action.style + 1u - first);
}

void Actions::reset() {
    modes_.reset();
    scale_.reset();
    repeats_.reset();
    typing_.reset();
    grid_.reset();
    proofs_.reset();
    memset(held_, 0, sizeof held_);
    wishes_ = 0;
    wished_variant_ = 0;
    is_release_wanted_ = 0;
}

uint8_t Actions::number_of(const Setup& setup, uint8_t input, Gesture gesture) const {
    return setup.number(modes_.mode(), input, gesture);
}

bool Actions::begin(const Work& work, uint8_t input, Gesture gesture) {
    const uint8_t number = number_of(work.setup, input, gesture);
    ActionDef action = {ActionKind::none, 0, 0, 0};
    if (number != 0 && !work.setup.action(number, action)) return false;
    Done done = Done::yes;
    // A pick reads the grid first, so that nothing is told before the storage has answered.
    if (action.kind == ActionKind::grid_pick) {
        done = pick(work);
        if (done == Done::storage_busy) return false;
    }
    emit(work.sink, work.now_us, EventKind::gesture, input, static_cast<uint8_t>(gesture), modes_.mode(),
         number);
    if (number == 0) return true;
    if (done == Done::yes) done = perform(work, input, action);
    if (done == Done::refused) {
        tell(work, input, number, ActionPhase::refused);
        return true;
    }
    held_[input] = number;
    tell(work, input, number, ActionPhase::begin);
    repeat_later(work, input, repeat_of(action));
    return true;
}

void Actions::refuse(const Work& work, uint8_t input, Gesture gesture) const {
    const uint8_t number = number_of(work.setup, input, gesture);
    emit(work.sink, work.now_us, EventKind::gesture, input, static_cast<uint8_t>(gesture), modes_.mode(),
         number);
    if (number != 0) tell(work, input, number, ActionPhase::refused);
}

void Actions::end(const Work& work, uint8_t input, Cause cause) {
    const uint8_t number = held_[input];
    if (number == 0) return;
    if (cause == Cause::press) proofs_.press_ended();
    held_[input] = 0;
    const uint8_t mode = modes_.mode();
    const uint16_t scale = scale_.permille();
    work.output.let_go(input);
    work.motion.end(input, work.now_ms);
    repeats_.end(input);
    modes_.let_go(input);
    scale_.let_go(input);
    tell(work, input, number, ActionPhase::end);
    mode_became(work, mode, cause);
    scale_became(work, scale);
}

void Actions::end_all(const Work& work, Cause cause) {
    for (uint8_t input = 0; input < k_max_inputs; ++input) end(work, input, cause);
}

void Actions::tick(const Work& work, uint8_t leds) {
    if (typing_.is_on()) typing_.tick(work.setup, work.output, leds, work.now_us, work.sink);
    if (repeats_.is_idle()) return;
    repeats_.tick();
    for (uint8_t input = repeats_.due(); input != k_no_input; input = repeats_.due()) {
        ActionDef action = {ActionKind::none, 0, 0, 0};
        if (!work.setup.action(held_[input], action)) return;
        repeat_now(work, input, action);
        const RepeatDef repeat = work.setup.repeat(static_cast<uint8_t>(repeat_of(action) - 1u));
        repeats_.done(input, repeat.interval_ms);
    }
}

void Actions::load(const Work& work, Cause cause) {
    const uint8_t mode = modes_.mode();
    const uint16_t scale = scale_.permille();
    reset();
    mode_became(work, mode, cause);
    scale_became(work, scale);
}

void Actions::go_to_mode(const Work& work, uint8_t mode, Cause cause) {
    if (mode >= work.setup.mode_count) return;
    const uint8_t from = modes_.mode();
    modes_.go_to(mode);
    mode_became(work, from, cause);
}

bool Actions::take_release() {
    const bool is_wanted = is_release_wanted_ != 0;
    is_release_wanted_ = 0;
    return is_wanted;
}

uint8_t Actions::take_wishes(uint8_t& variant) {
    const uint8_t wishes = wishes_;
    variant = wished_variant_;
    wishes_ = 0;
    return wishes;
}

Actions::Done Actions::perform(const Work& work, uint8_t input, const ActionDef& action) {
    const Direction direction = static_cast<Direction>(action.style);
    switch (action.kind) {
        case ActionKind::none: return Done::refused;
        case ActionKind::chord: return chord(work, input, action);
        case ActionKind::latch:
            work.output.latch(static_cast<LatchStyle>(action.style), action.a);
            return Done::yes;
        case ActionKind::button: return button(work, input, action);
        case ActionKind::drag: return work.output.drag(action.a) ? Done::yes : Done::refused;
        case ActionKind::move:
            work.motion.begin(input, direction, action.a, work.now_ms,
                              !is_infrared(work.setup.input(input).source), work.setup);
            return Done::yes;
        case ActionKind::scroll: scroll_once(work.output, action); return Done::yes;
        case ActionKind::mode: return change_mode(work, input, action);
        case ActionKind::consumer: {
            const bool is_done = action.style == 0 ? work.output.tap_consumer(action.wide())
                                                   : work.output.hold_consumer(input, action.wide());
            return is_done ? Done::yes : Done::refused;
        }
        case ActionKind::text:
            if (action.a >= work.setup.text_count) return Done::refused;
            typing_.begin(action.a, work.now_us, work.sink);
            return Done::yes;
        case ActionKind::grid_move: return move_mark(work, direction);
        case ActionKind::grid_pick: return Done::yes;  // done by begin()
        case ActionKind::jump: work.motion.jump(direction, action.wide()); return Done::yes;
        case ActionKind::scale: return change_scale(work, input, action);
        case ActionKind::release_all: is_release_wanted_ = 1; return Done::yes;
        case ActionKind::keep:
        case ActionKind::revert:
        case ActionKind::extend:
        case ActionKind::variant: return wish(work, action);
    }
    return Done::refused;
}

Actions::Done Actions::chord(const Work& work, uint8_t input, const ActionDef& action) {
    const bool is_done = static_cast<ChordStyle>(action.style) == ChordStyle::held
                             ? work.output.hold_keys(input, action.a, action.b)
                             : work.output.tap_keys(action.a, action.b);
    return is_done ? Done::yes : Done::refused;
}

Actions::Done Actions::button(const Work& work, uint8_t input, const ActionDef& action) {
    bool is_done = false;
    switch (static_cast<ButtonStyle>(action.style)) {
        case ButtonStyle::held: is_done = work.output.hold_buttons(input, action.a); break;
        case ButtonStyle::click: is_done = work.output.click(action.a, 1, work.setup.click_gap_ms); break;
        case ButtonStyle::double_click:
            is_done = work.output.click(action.a, 2, work.setup.click_gap_ms);
            break;
    }
    return is_done ? Done::yes : Done::refused;
}

Actions::Done Actions::change_mode(const Work& work, uint8_t input, const ActionDef& action) {
    const uint8_t from = modes_.mode();
    const ModeStyle style = static_cast<ModeStyle>(action.style);
    if (style != ModeStyle::next && action.a >= work.setup.mode_count) return Done::refused;
    switch (style) {
        case ModeStyle::go_to: modes_.go_to(action.a); break;
        case ModeStyle::next: modes_.next(work.setup.mode_count); break;
        case ModeStyle::while_held:
            if (!modes_.hold(input, action.a)) return Done::refused;
            break;
    }
    mode_became(work, from, Cause::press);
    return Done::yes;
}

Actions::Done Actions::change_scale(const Work& work, uint8_t input, const ActionDef& action) {
    const uint16_t from = scale_.permille();
    if (static_cast<ScaleStyle>(action.style) == ScaleStyle::toggle) {
        scale_.toggle(action.wide());
    } else if (!scale_.hold(input, action.wide())) {
        return Done::refused;
    }
    scale_became(work, from);
    return Done::yes;
}

/// Caps Lock is not turned round here: who switched it on wants the grid's letters large.
Actions::Done Actions::pick(const Work& work) {
    Stroke stroke = {0, 0, 0};
    if (!grid_stroke(work.setup, grid_.row(), grid_.column(), stroke)) return Done::storage_busy;
    if (stroke.usage == 0) return Done::refused;
    return work.output.tap_keys(stroke.modifiers, stroke.usage) ? Done::yes : Done::refused;
}

Actions::Done Actions::move_mark(const Work& work, Direction direction) {
    if (!grid_.move(work.setup, direction)) return Done::refused;
    emit(work.sink, work.now_us, EventKind::grid, grid_.row(), grid_.column());
    return Done::yes;
}

Actions::Done Actions::wish(const Work& work, const ActionDef& action) {
    uint8_t wish = k_wish_variant;
    if (action.kind == ActionKind::keep) wish = k_wish_keep;
    if (action.kind == ActionKind::revert) wish = k_wish_revert;
    if (action.kind == ActionKind::extend) wish = k_wish_extend;
    if (wish == k_wish_variant) {
        const uint8_t next = static_cast<uint8_t>(work.variant + 1u);
        const uint8_t wanted = action.style == 0                 ? action.a
                               : next < work.setup.variant_count ? next
                                                                 : uint8_t{0};
        if (wanted >= work.setup.variant_count) return Done::refused;
        wished_variant_ = wanted & 0x07u;
    }
    wishes_ = static_cast<uint8_t>(wishes_ | wish) & 0x0Fu;
    return Done::yes;
}

void Actions::repeat_later(const Work& work, uint8_t input, uint8_t repeat_plus_one) {
    if (repeat_plus_one == 0 || repeat_plus_one > work.setup.repeat_count) return;
    repeats_.begin(input, work.setup.repeat(static_cast<uint8_t>(repeat_plus_one - 1u)));
}

/// A key that the host has not read yet is not repeated on top: no backlog may go on after the press.
void Actions::repeat_now(const Work& work, uint8_t input, const ActionDef& action) {
    bool is_done = true;
    if (action.kind == ActionKind::chord) {
        is_done = !work.output.is_busy() && work.output.tap_keys(action.a, action.b);
    } else if (action.kind == ActionKind::scroll) {
        scroll_once(work.output, action);
    } else {
        move_mark(work, static_cast<Direction>(action.style));
    }
    tell(work, input, held_[input], is_done ? ActionPhase::repeat : ActionPhase::refused);
}

void Actions::mode_became(const Work& work, uint8_t from, Cause cause) {
    if (modes_.mode() == from) return;
    if (cause == Cause::press) proofs_.mode_left(from, modes_.mode());
    emit(work.sink, work.now_us, EventKind::mode, modes_.mode(), static_cast<uint8_t>(cause));
}

void Actions::scale_became(const Work& work, uint16_t from) {
    const uint16_t permille = scale_.permille();
    if (permille == from) return;
    work.motion.set_scale(permille);
    emit(work.sink, work.now_us, EventKind::scale, static_cast<uint8_t>(permille & 0xFFu),
         static_cast<uint8_t>(permille >> 8));
}

}  // namespace engine
}  // namespace fettle
