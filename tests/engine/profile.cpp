#include "tests/engine/profile.hpp"

#include <cstdlib>

namespace fettle::engine::testing {

namespace {

ActionDef make(ActionKind kind, std::uint8_t style = 0, std::uint8_t a = 0, std::uint8_t b = 0) {
    return ActionDef{kind, style, a, b};
}
template <typename E>
std::uint8_t u8(E value) {
    return static_cast<std::uint8_t>(value);
}
std::uint8_t low(std::uint16_t value) {
    return static_cast<std::uint8_t>(value & 0xFF);
}
std::uint8_t high(std::uint16_t value) {
    return static_cast<std::uint8_t>(value >> 8);
}
bool operator==(const ActionDef& x, const ActionDef& y) {
    return x.kind == y.kind && x.style == y.style && x.a == y.a && x.b == y.b;
}

}  // namespace

ActionDef tap_key(std::uint8_t usage, std::uint8_t modifiers) {
    return make(ActionKind::chord, u8(ChordStyle::tapped), modifiers, usage);
}
ActionDef hold_key(std::uint8_t usage, std::uint8_t modifiers) {
    return make(ActionKind::chord, u8(ChordStyle::held), modifiers, usage);
}
ActionDef repeat_key(std::uint8_t usage, std::uint8_t repeat, std::uint8_t modifiers) {
    return make(ActionKind::chord, static_cast<std::uint8_t>(u8(ChordStyle::repeat_first) + repeat),
                modifiers, usage);
}
ActionDef latch(std::uint8_t modifiers, LatchStyle style) {
    return make(ActionKind::latch, u8(style), modifiers);
}
ActionDef hold_button(std::uint8_t buttons) {
    return make(ActionKind::button, u8(ButtonStyle::held), buttons);
}
ActionDef click(std::uint8_t buttons) {
    return make(ActionKind::button, u8(ButtonStyle::click), buttons);
}
ActionDef double_click(std::uint8_t buttons) {
    return make(ActionKind::button, u8(ButtonStyle::double_click), buttons);
}
ActionDef drag(std::uint8_t buttons) {
    return make(ActionKind::drag, 0, buttons);
}
ActionDef move(Direction direction, std::uint8_t motion) {
    return make(ActionKind::move, u8(direction), motion);
}
ActionDef scroll(Direction direction, std::uint8_t detents, std::uint8_t repeat_plus_one) {
    return make(ActionKind::scroll, u8(direction), detents, repeat_plus_one);
}
ActionDef mode(ModeStyle style, std::uint8_t to) {
    return make(ActionKind::mode, u8(style), to);
}
ActionDef consumer(std::uint16_t usage, bool is_held) {
    return make(ActionKind::consumer, is_held ? 1 : 0, low(usage), high(usage));
}
ActionDef text(std::uint8_t index) {
    return make(ActionKind::text, 0, index);
}
ActionDef grid_move(Direction direction, std::uint8_t repeat_plus_one) {
    return make(ActionKind::grid_move, u8(direction), 0, repeat_plus_one);
}
ActionDef grid_pick() {
    return make(ActionKind::grid_pick);
}
ActionDef jump(Direction direction, std::uint16_t counts) {
    return make(ActionKind::jump, u8(direction), low(counts), high(counts));
}
ActionDef scale(ScaleStyle style, std::uint16_t permille) {
    return make(ActionKind::scale, u8(style), low(permille), high(permille));
}
ActionDef variant(bool is_next, std::uint8_t to) {
    return make(ActionKind::variant, is_next ? 1 : 0, to);
}
ActionDef simple(ActionKind kind) {
    return make(kind);
}

RuleDef plain_rule() {
    RuleDef rule{};
    rule.long_ms = 500;
    rule.double_ms = 300;
    rule.holdover_ms = 150;
    rule.longest_hold_ds = 600;
    return rule;
}

std::vector<std::uint8_t> steady_motion(std::uint8_t first_step, std::uint16_t delay_ms,
                                        std::uint32_t counts_a_ms_q16) {
    std::vector<std::uint8_t> out{u8(MotionFamily::travel),
                                  low(delay_ms),
                                  high(delay_ms),
                                  first_step,
                                  0,
                                  0,
                                  0,
                                  0,
                                  low(1000),
                                  high(1000)};
    for (int i = 0; i < k_curve_points; ++i)
        for (int shift = 0; shift < 24; shift += 8)
            out.push_back(static_cast<std::uint8_t>((counts_a_ms_q16 >> shift) & 0xFF));
    return out;
}

Profile::Profile() : motions{steady_motion(1, 300, 65536)} {}

std::uint8_t Profile::add_switch(std::uint8_t line, std::uint8_t rule, bool is_closed_low) {
    inputs.push_back(
        {Source::switch_line, rule, static_cast<std::uint32_t>(line | (is_closed_low ? 0x80 : 0))});
    return static_cast<std::uint8_t>(inputs.size() - 1);
}

std::uint8_t Profile::add_remote(Protocol protocol, std::uint16_t address, std::uint16_t command,
                                 std::uint8_t rule) {
    inputs.push_back(
        {static_cast<Source>(protocol), rule, ir_code(make_ir_frame(protocol, address, command))});
    return static_cast<std::uint8_t>(inputs.size() - 1);
}

std::uint8_t Profile::add_axis(std::uint8_t axis, bool is_negative, std::uint8_t down_at, std::uint8_t up_at,
                               std::uint8_t rule) {
    const std::uint32_t code = static_cast<std::uint32_t>(axis | (is_negative ? 0x80 : 0)) |
                               static_cast<std::uint32_t>(down_at) << 8 |
                               static_cast<std::uint32_t>(up_at) << 16;
    inputs.push_back({Source::axis, rule, code});
    return static_cast<std::uint8_t>(inputs.size() - 1);
}

std::uint8_t Profile::number_of(const ActionDef& action) {
    for (std::size_t i = 0; i < actions_.size(); ++i)
        if (actions_[i] == action) return static_cast<std::uint8_t>(i + 1);
    actions_.push_back(action);
    return static_cast<std::uint8_t>(actions_.size());
}

void Profile::assign(std::uint8_t mode, std::uint8_t input, const ActionDef& action, Gesture gesture) {
    cells_.push_back({mode, input, number_of(action), gesture});
}

void Profile::assign_everywhere(std::uint8_t input, const ActionDef& action) {
    for (std::uint8_t m = 0; m < mode_count; ++m) assign(m, input, action);
}

void Profile::build(Setup& setup, std::vector<std::uint8_t>& image) const {
    clear(setup);
    const auto here = [&] { return setup.used; };
    const auto room = [&](std::size_t bytes) {
        std::uint8_t* at = setup.bytes + setup.used;
        setup.used = static_cast<std::uint16_t>(setup.used + bytes);
        if (setup.used > k_mirror_bytes) std::abort();
        return at;
    };
    setup.inputs_at = here();
    for (const InputDef& input : inputs) put_input(room(k_input_bytes), input);
    setup.rules_at = here();
    for (const RuleDef& rule : rules) put_rule(room(k_rule_bytes), rule);
    setup.cells_at = here();
    std::uint8_t* cells = room(inputs.size() * mode_count);
    setup.gestures_at = here();
    for (const Cell& cell : cells_) {
        if (cell.gesture == Gesture::short_press) {
            cells[cell.mode * inputs.size() + cell.input] = cell.number;
            continue;
        }
        std::uint8_t* at = room(k_gesture_bytes);
        at[0] = static_cast<std::uint8_t>(cell.mode |
                                          (cell.gesture == Gesture::double_press ? k_gesture_is_double : 0));
        at[1] = cell.input;
        at[2] = cell.number;
        ++setup.gesture_count;
    }
    setup.motions_at = here();
    for (const auto& motion : motions) {
        std::uint8_t* at = room(motion.size() + 1);
        at[0] = static_cast<std::uint8_t>(motion.size());
        for (std::size_t i = 0; i < motion.size(); ++i) at[i + 1] = motion[i];
    }
    setup.repeats_at = here();
    for (const RepeatDef& repeat : repeats) {
        std::uint8_t* at = room(k_repeat_bytes);
        put16(at, repeat.delay_ms);
        put16(at + 2, repeat.interval_ms);
    }
    setup.input_count = static_cast<std::uint8_t>(inputs.size());
    setup.rule_count = static_cast<std::uint8_t>(rules.size());
    setup.mode_count = mode_count;
    setup.motion_count = static_cast<std::uint8_t>(motions.size());
    setup.repeat_count = static_cast<std::uint8_t>(repeats.size());
    setup.action_count = static_cast<std::uint8_t>(actions_.size());
    setup.text_count = static_cast<std::uint8_t>(texts.size());
    setup.variant_count = variant_count;
    setup.grid_rows = grid_rows;
    setup.grid_columns = grid_columns;
    setup.stroke_gap_ms = stroke_gap_ms;
    setup.click_gap_ms = click_gap_ms;

    image.assign(20, 0xEE);  // where an image has its header
    const auto place = [&](auto&& fill) {
        const std::size_t from = image.size();
        fill();
        return Place{static_cast<std::uint16_t>(from), static_cast<std::uint16_t>(image.size() - from)};
    };
    const auto append = [&](const auto& bytes) {
        image.push_back(static_cast<std::uint8_t>(bytes.size()));
        for (const auto byte : bytes) image.push_back(static_cast<std::uint8_t>(byte));
    };
    setup.actions = place([&] {
        for (const ActionDef& action : actions_) {
            std::uint8_t raw[k_action_bytes];
            put_action(raw, action);
            image.insert(image.end(), raw, raw + k_action_bytes);
        }
    });
    setup.texts = place([&] {
        for (const auto& strokes : texts) append(strokes);
    });
    setup.labels = place([&] {
        for (const auto& label : labels) append(label);
    });
    setup.grid = place([&] {
        image.push_back(grid_rows);
        image.push_back(grid_columns);
        image.insert(image.end(), grid.begin(), grid.end());
    });
}

}  // namespace fettle::engine::testing
