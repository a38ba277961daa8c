#pragma once
// Which fields make up which record, once, for every reader of the table: parser, writer, checks, schema,
// help. A visitor offers number, flag, text, choice, bits, key, consumer, hex, object, list, numbers,
// optional, one_of, pieces and rows; describe(visitor, record) calls them in the order of the document.

#include <concepts>
#include <type_traits>

#include "core/profile/field_table.hpp"
#include "core/profile/model.hpp"

namespace fettle::profile {

template <class T, class Record>
concept Is = std::same_as<std::remove_const_t<T>, Record>;

// --- actions: nothing to say beyond their kind ---
template <class T>
concept IsBare =
    Is<T, GridPick> || Is<T, ReleaseAll> || Is<T, Keep> || Is<T, Revert> || Is<T, Extend> || Is<T, Untaught>;
void describe(auto&, IsBare auto&) {}

void describe(auto& v, Is<Stroke> auto& r) {
    v.bits(field::k_modifiers, r.modifiers);
    v.key(field::k_key, r.usage);
}
void describe(auto& v, Is<Chord> auto& r) {
    describe(v, r.stroke);
    v.choice(field::k_hold, r.hold);
    v.text(field::k_chord_repeat, r.repeat);
}
void describe(auto& v, Is<Latch> auto& r) {
    v.bits(field::k_latched, r.modifiers);
    v.choice(field::k_latch_style, r.style);
}
void describe(auto& v, Is<Button> auto& r) {
    v.bits(field::k_buttons, r.buttons);
    v.choice(field::k_button_style, r.style);
}
void describe(auto& v, Is<Drag> auto& r) {
    v.bits(field::k_buttons, r.buttons);
}
void describe(auto& v, Is<Move> auto& r) {
    v.choice(field::k_direction, r.direction);
    v.text(field::k_motion, r.motion);
}
void describe(auto& v, Is<Scroll> auto& r) {
    v.choice(field::k_straight, r.direction);
    v.number(field::k_detents, r.detents);
    v.text(field::k_optional_repeat, r.repeat);
}
void describe(auto& v, Is<ModeChange> auto& r) {
    v.choice(field::k_mode_style, r.style);
    v.text(field::k_to_mode, r.mode);
}
void describe(auto& v, Is<Consumer> auto& r) {
    v.consumer(field::k_usage, r.usage);
    v.flag(field::k_is_held, r.is_held);
}
void describe(auto& v, Is<TypeText> auto& r) {
    v.text(field::k_typed, r.text);
}
void describe(auto& v, Is<GridMove> auto& r) {
    v.choice(field::k_straight, r.direction);
    v.text(field::k_optional_repeat, r.repeat);
}
void describe(auto& v, Is<Jump> auto& r) {
    v.choice(field::k_direction, r.direction);
    v.number(field::k_jump_counts, r.counts);
}
void describe(auto& v, Is<Scale> auto& r) {
    v.choice(field::k_scale_style, r.style);
    v.number(field::k_factor_permille, r.factor_permille);
}
void describe(auto& v, Is<VariantChange> auto& r) {
    v.choice(field::k_variant_style, r.style);
    v.text(field::k_to_variant, r.variant);
}
void describe(auto& v, Is<Action> auto& r) {
    v.one_of(field::k_do, r);
}

// --- inputs ---
void describe(auto& v, Is<Infrared> auto& r) {
    v.choice(field::k_protocol, r.protocol);
    v.number(field::k_address, r.address);
    v.number(field::k_command, r.command);
    v.number(field::k_extended, r.extended);
    v.number(field::k_signature, r.signature);
}
void describe(auto& v, Is<Switch> auto& r) {
    v.number(field::k_line, r.line);
    v.flag(field::k_closed_low, r.closed_low);
}
void describe(auto& v, Is<Axis> auto& r) {
    v.choice(field::k_axis, r.axis);
    v.choice(field::k_side, r.side);
    v.number(field::k_on_permille, r.on_permille);
    v.number(field::k_off_permille, r.off_permille);
}
void describe(auto& v, Is<InputSource> auto& r) {
    v.one_of(field::k_source_kind, r);
}
void describe(auto& v, Is<Input> auto& r) {
    v.text(field::k_input_name, r.name);
    v.text(field::k_input_rules, r.rules);
    v.object(field::k_source, r.source);
}

// --- press rules, motion, repeat ---
void describe(auto& v, Is<RuleSet> auto& r) {
    v.text(field::k_rule_name, r.name);
    v.flag(field::k_act_on_release, r.act_on_release);
    v.number(field::k_acceptance_ms, r.acceptance_ms);
    v.number(field::k_debounce_ms, r.debounce_ms);
    v.number(field::k_bridge_ms, r.bridge_ms);
    v.number(field::k_refractory_ms, r.refractory_ms);
    v.number(field::k_long_ms, r.long_ms);
    v.number(field::k_double_ms, r.double_ms);
    v.number(field::k_guard_ms, r.guard_ms);
    v.number(field::k_holdover_ms, r.holdover_ms);
    v.number(field::k_longest_hold_ms, r.longest_hold_ms);
}
void describe(auto& v, Is<SpeedShape> auto& r) {
    v.number(field::k_start_counts_per_s, r.start_counts_per_s);
    v.number(field::k_top_counts_per_s, r.top_counts_per_s);
    v.number(field::k_exponent_permille, r.exponent_permille);
}
void describe(auto& v, Is<SpeedPoints> auto& r) {
    v.numbers(field::k_points_q16, r.q16_counts_per_ms);
}
void describe(auto& v, Is<decltype(Travel::speed)> auto& r) {
    v.one_of(field::k_speed_by, r);
}
void describe(auto& v, Is<Travel> auto& r) {
    v.number(field::k_first_step_counts, r.first_step_counts);
    v.number(field::k_travel_delay_ms, r.delay_ms);
    v.number(field::k_ramp_ms, r.ramp_ms);
    v.number(field::k_cadence_window_ms, r.cadence_window_ms);
    v.number(field::k_cadence_gain_permille, r.cadence_gain_permille);
    v.object(field::k_speed, r.speed);
}
void describe(auto& v, Is<MouseKeysShape> auto& r) {
    v.number(field::k_delta_counts, r.delta_counts);
    v.number(field::k_time_to_max_events, r.time_to_max_events);
    v.number(field::k_max_speed, r.max_speed);
    v.number(field::k_curve_permille, r.curve_permille);
}
void describe(auto& v, Is<MouseKeysMoves> auto& r) {
    v.numbers(field::k_move_list, r.counts);
}
void describe(auto& v, Is<decltype(MouseKeys::moves)> auto& r) {
    v.one_of(field::k_moves_by, r);
}
void describe(auto& v, Is<MouseKeys> auto& r) {
    v.number(field::k_mouse_keys_delay_ms, r.delay_ms);
    v.number(field::k_mouse_keys_interval_ms, r.interval_ms);
    v.object(field::k_moves, r.moves);
}
void describe(auto& v, Is<Motion> auto& r) {
    v.text(field::k_motion_name, r.name);
    v.one_of(field::k_family, r.family);
}
void describe(auto& v, Is<Repeat> auto& r) {
    v.text(field::k_repeat_name, r.name);
    v.number(field::k_repeat_delay_ms, r.delay_ms);
    v.number(field::k_repeat_interval_ms, r.interval_ms);
}

// --- texts, grid, modes, the whole ---
void describe(auto& v, Is<Text> auto& r) {
    v.text(field::k_text_name, r.name);
    v.pieces(field::k_parts, field::k_piece, r.parts);
}
void describe(auto& v, Is<Grid> auto& r) {
    v.rows(field::k_grid_rows, field::k_cells, field::k_cell, r.rows);
}
void describe(auto& v, Is<Assignment> auto& r) {
    v.text(field::k_assigned_input, r.input);
    v.optional(field::k_short, r.short_press);
    v.optional(field::k_long, r.long_press);
    v.optional(field::k_double, r.double_press);
}
void describe(auto& v, Is<Mode> auto& r) {
    v.text(field::k_mode_name, r.name);
    v.text(field::k_label, r.label);
    v.list(field::k_assignments, r.assignments);
}
void describe(auto& v, Is<Variant> auto& r) {
    v.text(field::k_variant_name, r.name);
    v.text(field::k_label, r.label);
    v.list(field::k_variant_rule_sets, r.rule_sets);
    v.list(field::k_variant_motions, r.motions);
}
void describe(auto& v, Is<KeyboardLayout> auto& r) {
    v.text(field::k_layout, r.layout);
    v.text(field::k_layout_variant, r.variant);
}
void describe(auto& v, Is<Pace> auto& r) {
    v.number(field::k_stroke_gap_ms, r.stroke_gap_ms);
    v.number(field::k_click_gap_ms, r.click_gap_ms);
    v.number(field::k_trial_s, r.trial_s);
}
void describe(auto& v, Is<Profile> auto& r) {
    v.format_version(field::k_format_version);
    v.text(field::k_profile_name, r.name);
    v.hex(field::k_id, r.id);
    v.number(field::k_version, r.version);
    v.object(field::k_keyboard_layout, r.keyboard_layout);
    v.list(field::k_rule_sets, r.rule_sets);
    v.list(field::k_motions, r.motions);
    v.list(field::k_repeats, r.repeats);
    v.list(field::k_texts, r.texts);
    v.list(field::k_inputs, r.inputs);
    v.list(field::k_modes, r.modes);
    v.object(field::k_grid, r.grid);
    v.object(field::k_pace, r.pace);
    v.list(field::k_variants, r.variants);
}

/// Makes the alternative of that index, value-initialised.
template <class V, std::size_t i = 0>
void emplace_index(V& variant, std::size_t index) {
    if constexpr (i < std::variant_size_v<V>) {
        if (index == i)
            variant.template emplace<i>();
        else
            emplace_index<V, i + 1>(variant, index);
    }
}

}  // namespace fettle::profile
