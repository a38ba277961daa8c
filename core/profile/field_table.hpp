#pragma once
// The table of all values of a profile document. Ranges are those of the device records (engine/setup.hpp)
// and of the infrared protocols (engine/infrared_frame.hpp); defaults are those of model.hpp, held equal by a
// test. Sources: X Keyboard Extension (SlowKeys, BounceKeys, StickyKeys, MouseKeys and their server's
// defaults); 40 ms between click edges: common practice, no source (hosts drop chatter inside 25 ms:
// libinput).

#include <cstddef>

#include "core/engine/limits.hpp"
#include "core/profile/fields.hpp"

namespace fettle::profile::field {

namespace names {
inline constexpr const char* k_modifiers[] = {"left_control",  "left_shift",  "left_alt",  "left_gui",
                                              "right_control", "right_shift", "right_alt", "right_gui"};
inline constexpr const char* k_buttons[] = {"primary", "secondary", "tertiary"};
inline constexpr const char* k_protocols[] = {"nec",    "necx", "rc5",       "rc6",   "sirc12", "sirc15",
                                              "sirc20", "jvc",  "samsung32", "sharp", "unknown"};
inline constexpr const char* k_sources[] = {"infrared", "switch", "axis", "untaught"};
inline constexpr const char* k_axes[] = {"stick_x", "stick_y", "pressure", "spare"};
inline constexpr const char* k_sides[] = {"positive", "negative"};
inline constexpr const char* k_families[] = {"travel", "mouse_keys"};
inline constexpr const char* k_speed_forms[] = {"shape", "points"};
inline constexpr const char* k_move_forms[] = {"shape", "list"};
inline constexpr const char* k_directions[] = {"up",   "up_right",  "right", "down_right",
                                               "down", "down_left", "left",  "up_left"};
inline constexpr const char* k_holds[] = {"tapped", "held", "repeated"};
inline constexpr const char* k_latch_styles[] = {"latch_then_lock", "latch_only", "lock"};
inline constexpr const char* k_button_styles[] = {"held", "click", "double_click"};
inline constexpr const char* k_mode_styles[] = {"go_to", "next", "while_held"};
inline constexpr const char* k_scale_styles[] = {"while_held", "toggle"};
inline constexpr const char* k_variant_styles[] = {"go_to", "next"};
inline constexpr const char* k_actions[] = {
    "key",      "latch",  "button",    "drag",      "move", "scroll", "mode",
    "consumer", "text",   "grid_move", "grid_pick", "jump", "scale",  "release_everything",
    "keep",     "revert", "extend",    "variant"};
template <std::size_t count>
constexpr Choices list(const char* const (&names)[count]) {
    return Choices{names, static_cast<int>(count)};
}
}  // namespace names

constexpr bool k_must = true;  ///< is_required

constexpr Field number(const char* key, const char* unit, int64_t least, int64_t most, int64_t fallback,
                       const char* help, int64_t step = 1, bool must = false) {
    return Field{key, FieldKind::number, unit, least, most, fallback, step, {}, must, help};
}
constexpr Field quiet(Field loud) {
    loud.is_quiet = true;
    return loud;
}
constexpr Field number_or_off(const char* key, const char* unit, int64_t least, int64_t most,
                              int64_t fallback, const char* help) {
    return Field{key, FieldKind::number, unit, least, most, fallback, 1, {}, false, help, true};
}
constexpr Field named(const char* key, const char* help) {
    return Field{key, FieldKind::name, "", 1, 32, 0, 1, {}, k_must, help};
}
constexpr Field reference(const char* key, const char* help, bool must) {
    return Field{key, FieldKind::reference, "", must ? 1 : 0, 32, 0, 1, {}, must, help};
}
constexpr Field plain(FieldKind kind, const char* key, int64_t least, int64_t most, const char* help,
                      bool must = false) {
    return Field{key, kind, "", least, most, 0, 1, {}, must, help};
}
constexpr Field choice(const char* key, Choices choices, int64_t fallback, const char* help,
                       bool must = false, int64_t first_value = 0) {
    return Field{key, FieldKind::choice, "",   first_value, first_value + choices.count - 1, fallback,
                 1,   choices,           must, help};
}
constexpr Field bits(const char* key, Choices choices, int64_t fallback, const char* help,
                     bool must = false) {
    const int64_t all = (int64_t{1} << choices.count) - 1;
    return Field{key, FieldKind::bits, "", must ? 1 : 0, all, fallback, 1, choices, must, help};
}
constexpr Field flag(const char* key, bool fallback, const char* help) {
    return Field{key, FieldKind::flag, "", 0, 1, fallback ? 1 : 0, 1, {}, false, help};
}
constexpr Field numbers(const char* key, const char* unit, int64_t least, int64_t most, int64_t fewest,
                        int64_t greatest_count, const char* help) {
    return Field{key, FieldKind::numbers, unit, least, most, fewest, greatest_count, {}, k_must, help};
}

// --- the whole ---
inline constexpr Field k_format_version =
    number("format_version", "", 1, 1, 1, "Version of the document's form.", 1, k_must);
inline constexpr Field k_profile_name =
    plain(FieldKind::text, "name", 0, 80, "What the profile is called. Stays on this computer.");
inline constexpr Field k_id =
    plain(FieldKind::hex, "id", 16, 16, "Says which profile it is, never whose.", k_must);
inline constexpr Field k_version = number("version", "", 0, 65535, 1, "Counts the changes of this profile.");
inline constexpr Field k_keyboard_layout =
    plain(FieldKind::object, "keyboard_layout", 0, 0,
          "Keyboard layout that the computer is set to; texts are typed through it.");
inline constexpr Field k_layout =
    plain(FieldKind::text, "layout", 0, 32, "Layout, by its X Keyboard Extension name: us, gb, de.");
inline constexpr Field k_layout_variant = quiet(plain(
    FieldKind::text, "variant", 0, 32, "Variant of the layout: nodeadkeys, dvorak. Empty: the plain one."));
inline constexpr Field k_rule_sets =
    plain(FieldKind::list, "rule_sets", 1, engine::k_max_rules, "Rules for what counts as a press.", k_must);
inline constexpr Field k_motions = plain(FieldKind::list, "motions", 0, engine::k_max_motions,
                                         "How held or repeated directions become counts.");
inline constexpr Field k_repeats =
    plain(FieldKind::list, "repeats", 0, engine::k_max_repeats, "The device's own key repeats.");
inline constexpr Field k_texts = plain(FieldKind::list, "texts", 0, 64, "Texts that one press types.");
inline constexpr Field k_inputs =
    plain(FieldKind::list, "inputs", 0, engine::k_max_inputs, "What the person can work.", k_must);
inline constexpr Field k_modes =
    plain(FieldKind::list, "modes", 1, engine::k_max_modes,
          "What each input does; the first mode is the one at the start.", k_must);
inline constexpr Field k_grid =
    plain(FieldKind::object, "grid", 0, 0, "Characters to type with directions and a pick.");
inline constexpr Field k_grid_rows =
    plain(FieldKind::list, "rows", 0, 16,
          "Rows of cells, all equally long. A cell is a character, a key, or null.");
inline constexpr Field k_pace = plain(FieldKind::object, "pace", 0, 0, "How fast the device acts by itself.");
inline constexpr Field k_variants = plain(FieldKind::list, "variants", 0, engine::k_max_variants - 1,
                                          "Other press rules and motions, chosen on the device.");

// --- press rules ---
inline constexpr Field k_rule_name = named("name", "Name of the rule set.");
inline constexpr Field k_act_on_release =
    quiet(flag("act_on_release", false, "Act when the press is over, not when it begins."));
inline constexpr Field k_acceptance_ms = number(
    "acceptance_ms", "ms", 0, 5000, 0, "Held this long before it counts (acceptance delay). 0: at once.");
inline constexpr Field k_debounce_ms = number(
    "debounce_ms", "ms", 0, 5000, 0, "After each release, ignored this long (debounce delay). 0: never.");
inline constexpr Field k_bridge_ms =
    number("bridge_ms", "ms", 0, 2000, 0, "Gaps in a hold up to this long are closed. 0: none.");
inline constexpr Field k_refractory_ms =
    number("refractory_ms", "ms", 0, 5000, 0, "After each counted press, no other one this long. 0: never.");
inline constexpr Field k_long_ms =
    number_or_off("long_ms", "ms", 100, 5000, 600, "Held this long is a long press. 0: never.");
inline constexpr Field k_double_ms = number_or_off("double_ms", "ms", 100, 3000, 400,
                                                   "A second press within this is a double press. 0: never.");
inline constexpr Field k_guard_ms =
    number("guard_ms", "ms", 0, 2000, 0, "After another input's press, ignored this long. 0: never.");
inline constexpr Field k_holdover_ms =
    number("holdover_ms", "ms", 0, 1000, 120, "Infrared: down this long after the last frame.");
inline constexpr Field k_longest_hold_ms = number("longest_hold_ms", "ms", 500, 600000, 30000,
                                                  "Held longer is let go and ignored until really up.", 100);

// --- motion ---
inline constexpr Field k_motion_name = named("name", "Name of the motion.");
inline constexpr Field k_family = choice("family", names::list(names::k_families), 0,
                                         "Speed over time, or the MouseKeys event table.", k_must);
inline constexpr Field k_first_step_counts =
    number("first_step_counts", "counts", 0, 255, 1, "Moved at once by a tap.");
inline constexpr Field k_travel_delay_ms =
    number("delay_ms", "ms", 0, 5000, 300, "From the first step until travel begins.");
inline constexpr Field k_ramp_ms =
    number("ramp_ms", "ms", 0, 20000, 1500, "From the start of travel to top speed. 0: at once.");
inline constexpr Field k_cadence_window_ms =
    number("cadence_window_ms", "ms", 0, 2000, 0, "Taps that follow within this go faster. 0: off.");
inline constexpr Field k_cadence_gain_permille = number("cadence_gain_permille", "permille", 1000, 8000, 1000,
                                                        "Step and speed at the fastest tapping. 1000: off.");
inline constexpr Field k_speed =
    plain(FieldKind::object, "speed", 0, 0, "Speed while held, as a shape or as points.");
inline constexpr Field k_speed_by =
    choice("by", names::list(names::k_speed_forms), 0, "Given as a shape or as points.", k_must);
inline constexpr Field k_start_counts_per_s =
    number("start_counts_per_s", "counts/s", 0, 250000, 40, "Speed when travel begins.");
inline constexpr Field k_top_counts_per_s =
    number("top_counts_per_s", "counts/s", 1, 250000, 600, "Speed after the ramp.");
inline constexpr Field k_exponent_permille =
    number("exponent_permille", "permille", 100, 5000, 1000,
           "1000 straight; more: slow, then sharp; less: sharp, then slow.");
inline constexpr Field k_points_q16 =
    numbers("q16_counts_per_ms", "counts/ms in Q16", 0, 0xFFFFFF, engine::k_curve_points,
            engine::k_curve_points, "Speeds, evenly spread over the ramp, in 1/65536 counts a millisecond.");
inline constexpr Field k_mouse_keys_delay_ms =
    number("delay_ms", "ms", 0, 5000, 160, "From the first move to the second (MouseKeys delay).");
inline constexpr Field k_mouse_keys_interval_ms =
    number("interval_ms", "ms", 8, 1000, 40, "Between later moves (MouseKeys interval).");
inline constexpr Field k_moves =
    plain(FieldKind::object, "moves", 0, 0, "The moves, as a shape or as a list.");
inline constexpr Field k_moves_by =
    choice("by", names::list(names::k_move_forms), 0, "Given as a shape or as a list.", k_must);
inline constexpr Field k_delta_counts = number("delta_counts", "counts", 1, 1000, 1, "The first move.");
inline constexpr Field k_time_to_max_events =
    number("time_to_max_events", "events", 1, 60, 30, "Moves until full speed (MouseKeys time-to-max).");
inline constexpr Field k_max_speed =
    number("max_speed", "times delta", 1, 1000, 30, "Full speed (MouseKeys max-speed).");
inline constexpr Field k_curve_permille = number("curve_permille", "permille", -1000, 1000, 500,
                                                 "MouseKeys curve: 0 straight, more: slow then sharp.");
inline constexpr Field k_move_list =
    numbers("counts", "counts", 0, 65535, 2, 61, "The moves, event by event; the last one stays.");
inline constexpr Field k_repeat_name = named("name", "Name of the repeat.");
inline constexpr Field k_repeat_delay_ms =
    number("delay_ms", "ms", 0, 5000, 500, "From the press to the first repeat.");
inline constexpr Field k_repeat_interval_ms =
    number("interval_ms", "ms", 20, 2000, 150, "From repeat to repeat.");

// --- strokes, texts, grid ---
inline constexpr Field k_modifiers =
    quiet(bits("modifiers", names::list(names::k_modifiers), 0, "Modifiers held with it."));
inline constexpr Field k_key =
    quiet(plain(FieldKind::key, "key", 0, 0, "The key, by name. Left out: the modifiers alone."));
inline constexpr Field k_text_name = named("name", "Name of the text.");
inline constexpr Field k_parts =
    plain(FieldKind::list, "parts", 1, 255, "Pieces of text, and keys that no text can say.", k_must);
inline constexpr Field k_piece = plain(FieldKind::text, "", 1, 1024, "A piece of text.");
inline constexpr Field k_cell = plain(FieldKind::text, "", 1, 16, "The character that the cell types.");
inline constexpr Field k_cells = plain(FieldKind::list, "", 1, 64, "The cells of a row.");

// --- inputs ---
inline constexpr Field k_input_name = named("name", "Name of the input.");
inline constexpr Field k_input_rules = reference("rules", "Rule set of its presses.", k_must);
inline constexpr Field k_source =
    plain(FieldKind::object, "source", 0, 0, "Where its level comes from.", k_must);
inline constexpr Field k_source_kind =
    choice("kind", names::list(names::k_sources), 0, "A remote's button, a switch, or an axis.", k_must);
inline constexpr Field k_protocol = choice("protocol", names::list(names::k_protocols), 0,
                                           "Infrared protocol; unknown goes by its signature.", k_must, 1);
inline constexpr Field k_address =
    number("address", "", 0, 65535, 0, "Address, within the protocol's width.");
inline constexpr Field k_command = number("command", "", 0, 255, 0, "Command, within the protocol's width.");
inline constexpr Field k_extended =
    quiet(number("extended", "", 0, 255, 0, "Third field of sirc20, otherwise 0."));
inline constexpr Field k_signature = quiet(number(
    "signature", "", 0, 0xFFFFFFFF, 0, "What the train of an unknown protocol looks like; otherwise 0."));
inline constexpr Field k_line =
    number("line", "", 1, engine::k_switch_lines, 1, "Switch line of the board.", 1, k_must);
inline constexpr Field k_closed_low = flag("closed_low", true, "The closed contact pulls the line low.");
inline constexpr Field k_axis = choice("axis", names::list(names::k_axes), 0,
                                       "The stick's axis, or the pressure (sip is negative).", k_must);
inline constexpr Field k_side =
    choice("side", names::list(names::k_sides), 0, "Which side of the middle.", k_must);
inline constexpr Field k_on_permille =
    number("on_permille", "permille", 8, 1000, 500, "Deflection from which it is down.");
inline constexpr Field k_off_permille = number(
    "off_permille", "permille", 0, 996, 350, "Deflection below which it is up again; less than on_permille.");

// --- modes, assignments, actions ---
inline constexpr Field k_mode_name = named("name", "Name of the mode.");
inline constexpr Field k_label =
    plain(FieldKind::label, "label", 0, engine::k_label_chars, "What the device's display shows.");
inline constexpr Field k_assignments =
    plain(FieldKind::list, "assignments", 0, engine::k_max_inputs, "What each input does in this mode.");
inline constexpr Field k_assigned_input = reference("input", "The input.", k_must);
inline constexpr Field k_short = plain(FieldKind::object, "short", 0, 0, "What a short press does.");
inline constexpr Field k_long = plain(FieldKind::object, "long", 0, 0, "What a long press does.");
inline constexpr Field k_double = plain(FieldKind::object, "double", 0, 0, "What a double press does.");
inline constexpr Field k_do = choice("do", names::list(names::k_actions), 0, "The kind of action.", k_must);
inline constexpr Field k_hold =
    quiet(choice("hold", names::list(names::k_holds), 0, "Tapped, held through, or repeated by the device."));
inline constexpr Field k_chord_repeat =
    quiet(reference("repeat", "Which repeat, with hold: repeated.", false));
inline constexpr Field k_optional_repeat =
    quiet(reference("repeat", "Repeats while held. Left out: once.", false));
inline constexpr Field k_latched =
    bits("modifiers", names::list(names::k_modifiers), 0, "The modifiers that are latched.", k_must);
inline constexpr Field k_latch_style = choice("style", names::list(names::k_latch_styles), 0,
                                              "Latch, then lock, then off; latch only; or lock.");
inline constexpr Field k_buttons =
    bits("buttons", names::list(names::k_buttons), 1, "Mouse buttons.", k_must);
inline constexpr Field k_button_style =
    choice("style", names::list(names::k_button_styles), 0, "Held through, one click, or a double click.");
inline constexpr Field k_direction =
    choice("direction", names::list(names::k_directions), 0, "Direction, one of eight.", k_must);
inline constexpr Field k_straight =
    choice("direction", names::list(names::k_directions), 0, "Direction: up, right, down or left.", k_must);
inline constexpr Field k_motion = reference("motion", "Which motion.", k_must);
inline constexpr Field k_detents = quiet(number("detents", "detents", 1, 127, 1, "Wheel clicks a step."));
inline constexpr Field k_mode_style =
    choice("style", names::list(names::k_mode_styles), 0, "Go there, to the next one, or there while held.");
inline constexpr Field k_to_mode = quiet(reference("mode", "Which mode; left out with style: next.", false));
inline constexpr Field k_usage =
    plain(FieldKind::consumer, "usage", 0, 0, "Media or system key, by name.", k_must);
inline constexpr Field k_is_held = quiet(flag("held", false, "Held through instead of tapped."));
inline constexpr Field k_typed = reference("text", "Which text.", k_must);
inline constexpr Field k_jump_counts = number("counts", "counts", 1, 32767, 100, "Counts an axis, exactly.");
inline constexpr Field k_scale_style =
    choice("style", names::list(names::k_scale_styles), 0, "While held, or on and off.");
inline constexpr Field k_factor_permille =
    number("factor_permille", "permille", 50, 4000, 300, "Motion is multiplied by this.");
inline constexpr Field k_variant_style =
    choice("style", names::list(names::k_variant_styles), 1, "Go to one, or to the next.");
inline constexpr Field k_to_variant =
    quiet(reference("variant", "Which variant, or base; left out with style: next.", false));

// --- pace, variants ---
inline constexpr Field k_stroke_gap_ms =
    number("stroke_gap_ms", "ms", 8, 500, 20, "Text: from one stroke to the next.");
inline constexpr Field k_click_gap_ms =
    number("click_gap_ms", "ms", 40, 500, 50, "Between the edges of clicks.");
inline constexpr Field k_trial_s =
    number("trial_s", "s", 20, 600, 60, "A pushed profile runs on trial this long.");
inline constexpr Field k_variant_name = named("name", "Name of the variant.");
inline constexpr Field k_variant_rule_sets =
    plain(FieldKind::list, "rule_sets", 0, engine::k_max_rules, "Rule sets that stand in, by the same name.");
inline constexpr Field k_variant_motions =
    plain(FieldKind::list, "motions", 0, engine::k_max_motions, "Motions that stand in, by the same name.");

}  // namespace fettle::profile::field
