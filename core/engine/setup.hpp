#pragma once
// What the engine knows of a profile: small records, packed little-endian, in a RAM mirror (inputs, rules,
// modes, gestures, motions, repeats) or read from storage when they are needed (actions, texts, labels,
// grid). The records are defined here, once; wire/image.hpp puts them into sections and checks every one of
// them.

#include "core/engine/bytes.hpp"
#include "core/engine/limits.hpp"

namespace fettle {
namespace engine {

/// Where an input's level comes from. 1 to 11 are the values of Protocol (infrared.hpp): the source and its
/// protocol in one nibble.
enum class Source : uint8_t {
    none = 0,
    infrared_first = 1,
    infrared_last = 11,
    switch_line = 12,
    axis = 13,
};
inline bool is_infrared(Source s) {
    return s >= Source::infrared_first && s <= Source::infrared_last;
}

/// One thing that a person can work. 5 bytes: source | rule << 4, code.
/// code: infrared: ir_code() of the frame. switch_line: the line, 1 to 8, bit 7 set when closed is the low
/// level. axis: byte 0 the axis (bit 7: negative side), byte 1 the deflection that is down, byte 2 the one
/// that is up again, in 1/255 of full deflection (hysteresis: byte 2 < byte 1).
struct InputDef {
    Source source;
    uint8_t rule;
    uint32_t code;
};
constexpr uint8_t k_input_bytes = 5;

/// Press rules. All times in ms, 0 switches a rule off (longest_hold: see its line).
struct RuleDef {
    uint8_t flags;           ///< bit 0: act on release
    uint16_t acceptance_ms;  ///< SlowKeys delay of the X Keyboard Extension. 0 to 5000
    uint16_t debounce_ms;    ///< BounceKeys delay: from each release, the same input is ignored. 0 to 5000
    uint16_t bridge_ms;      ///< gaps of a hold up to this long are closed. 0 to 2000
    uint16_t refractory_ms;  ///< from each accepted press, no further press of this input. 0 to 5000
    uint16_t long_ms;        ///< held this long is a long press. 100 to 5000
    uint16_t double_ms;    ///< a second press within this of the first release is a double press. 100 to 3000
    uint16_t guard_ms;     ///< a press of another input within this of an accepted one is ignored. 0 to 2000
    uint16_t holdover_ms;  ///< infrared: still down this long after the end of the last frame. 0 to 1000
    uint16_t longest_hold_ds;  ///< longest hold, in tenths of a second, 5 to 6000; then let go. Never off.
};
constexpr uint8_t k_rule_bytes = 19;
constexpr uint8_t k_rule_act_on_release = 1;

enum class Gesture : uint8_t { short_press = 0, long_press = 1, double_press = 2 };
constexpr uint8_t k_gestures = 3;

/// Directions, clockwise from up.
enum class Direction : uint8_t { up, up_right, right, down_right, down, down_left, left, up_left };

enum class ActionKind : uint8_t {
    none = 0,
    chord = 1,   ///< style: ChordStyle; a: modifiers (HID bit order); b: usage of page 07, 0 = modifiers only
    latch = 2,   ///< style: LatchStyle; a: modifiers
    button = 3,  ///< style: ButtonStyle; a: buttons (bit 0 primary, 1 secondary, 2 tertiary)
    drag = 4,    ///< a: buttons; a press holds them, the next lets go
    move = 5,    ///< style: Direction; a: motion
    scroll = 6,  ///< style: Direction, straight ones only (up, down wheel; left, right pan); a: detents; b:
                 ///< repeat + 1, 0 = none
    mode = 7,    ///< style: ModeStyle; a: mode
    consumer = 8,    ///< style: 0 tapped, 1 held; a, b: usage of page 0C, low byte first
    text = 9,        ///< a: text
    grid_move = 10,  ///< style: Direction, straight ones only; b: repeat + 1, 0 = none
    grid_pick = 11,  ///< types what the grid's mark stands on
    jump = 12,       ///< style: Direction; a, b: counts an axis, 1 to 32767
    scale = 13,      ///< style: ScaleStyle; a, b: motion scale in permille, 50 to 4000
    release_all = 14,
    keep = 15,
    revert = 16,
    extend = 17,
    variant = 18,  ///< style: 0 go to, 1 next; a: variant
};
constexpr uint8_t k_last_action_kind = 18;  ///< 19 to 31 are spare

enum class ChordStyle : uint8_t {
    tapped = 0,
    held = 1,
    repeat_first = 2
};  ///< 2 + n: device's repeat setting n
enum class LatchStyle : uint8_t { latch_then_lock = 0, latch_only = 1, lock = 2 };
enum class ButtonStyle : uint8_t { held = 0, click = 1, double_click = 2 };
enum class ModeStyle : uint8_t { go_to = 0, next = 1, while_held = 2 };
enum class ScaleStyle : uint8_t { while_held = 0, toggle = 1 };

/// 3 bytes: kind | style << 5, a, b.
struct ActionDef {
    ActionKind kind;
    uint8_t style;  ///< 0 to 7
    uint8_t a;
    uint8_t b;
    uint16_t wide() const { return static_cast<uint16_t>(a | static_cast<uint16_t>(b << 8)); }
};
constexpr uint8_t k_action_bytes = 3;

/// The device's own key repeat. delay 0 to 5000 ms, interval 20 to 2000 ms (EN 301 549 §5.7 asks for 2 s each
/// at least).
struct RepeatDef {
    uint16_t delay_ms;
    uint16_t interval_ms;
};
constexpr uint8_t k_repeat_bytes = 4;

enum class MotionFamily : uint8_t { travel = 0, mouse_keys = 1 };

/// How a held or repeated direction becomes counts. A record is variable: length byte (of what follows), then
/// family u8, delay u16, and
/// travel: first_step u8 (counts), ramp_ms u16, cadence_window_ms u16, cadence_gain u16 (permille),
///         k_curve_points speeds u24, counts a ms in Q16, evenly spread over the ramp; the last one stays.
/// mouse_keys: interval_ms u16, count u8, count + 1 moves u16 (event 0, 1 ... time_to_max), the last one
/// stays.
///         Moves already carry the rounding of the X Keyboard Extension's server (away from zero).
struct MotionHead {
    MotionFamily family;
    uint16_t delay_ms;           ///< from the first step to travel (MouseKeys: to the second move). 0 to 5000
    uint8_t first_step_counts;   ///< 0 to 255
    uint16_t ramp_ms;            ///< 0 to 20000; 0: full speed at once
    uint16_t cadence_window_ms;  ///< taps that follow within this are faster. 0 (off) to 2000
    uint16_t cadence_gain_permille;  ///< step and speed at the fastest cadence. 1000 (off) to 8000
    uint16_t interval_ms;            ///< mouse_keys. 8 to 1000
    uint8_t event_count;             ///< mouse_keys: time_to_max, 1 to 60
};
constexpr uint8_t k_travel_bytes = 1 + 2 + 1 + 2 + 2 + 2 + 3 * k_curve_points;
constexpr uint8_t k_mouse_keys_head_bytes = 1 + 2 + 2 + 1;

/// Where a section lies in storage, in bytes from the start of the image.
struct Place {
    uint16_t offset;
    uint16_t size;
};

/// The mirror and where the rest is. A value: copied whole when a profile or a variant is loaded.
struct Setup {
    uint8_t bytes[k_mirror_bytes];  ///< the mirrored sections, one after the other
    uint16_t used;
    uint16_t inputs_at, rules_at, cells_at, gestures_at, motions_at, repeats_at;  ///< offsets into bytes
    uint8_t input_count, rule_count, mode_count, gesture_count, motion_count, repeat_count;
    uint8_t action_count, text_count, variant_count;
    uint8_t grid_rows, grid_columns;  ///< 0: no grid
    uint16_t stroke_gap_ms;           ///< text: from one stroke to the next. 8 to 500
    uint16_t click_gap_ms;  ///< between the edges of clicks. 40 to 500 (common practice: hosts drop chatter
                            ///< inside 25 ms)
    uint16_t trial_s;       ///< 20 to 600
    Place actions, texts, labels, grid;
    Storage storage;  ///< offsets are those of the image

    InputDef input(uint8_t index) const;
    RuleDef rule(uint8_t index) const;
    RuleDef rule_of(uint8_t input) const { return rule(this->input(input).rule); }
    /// Action number (1 to action_count, 0 nothing) of an input's short press in a mode.
    uint8_t cell(uint8_t mode, uint8_t input) const;
    /// Action number of a long or double press, 0 where there is none.
    uint8_t gesture(uint8_t mode, uint8_t input, Gesture gesture) const;
    /// The same for short, long and double presses.
    uint8_t number(uint8_t mode, uint8_t input, Gesture gesture) const {
        return gesture == Gesture::short_press ? cell(mode, input) : this->gesture(mode, input, gesture);
    }
    RepeatDef repeat(uint8_t index) const;
    MotionHead motion(uint8_t index) const;
    /// travel: speed of a point, counts a ms in Q16. mouse_keys: move of an event (the last one stays).
    uint32_t motion_point(uint8_t index, uint8_t point) const;
    /// False while the storage is busy: try again in a later tick. number: 1 to action_count.
    bool action(uint8_t number, ActionDef& out) const;
    /// Where the n-th (0 ...) of a section's length-prefixed records begins, past its length byte; at == past
    /// and length 0 where there is none. False while busy.
    bool find_record(const Place& place, uint8_t index, uint16_t& at, uint8_t& length) const;
    /// The n-th label (modes first, then variants 1...), zero-ended, `out` holds k_label_chars + 1. False
    /// while busy.
    bool label(uint8_t index, char* out) const;
};

/// An empty setup: nothing is assigned and nothing can be pressed. Its storage refuses.
void clear(Setup& setup);

void put_input(uint8_t* to, const InputDef& def);
void put_rule(uint8_t* to, const RuleDef& def);
void put_action(uint8_t* to, const ActionDef& def);
InputDef get_input(const uint8_t* from);
RuleDef get_rule(const uint8_t* from);
ActionDef get_action(const uint8_t* from);

/// Gesture cells, 3 bytes each: mode | (double ? 0x80 : 0), input, action number.
constexpr uint8_t k_gesture_bytes = 3;
constexpr uint8_t k_gesture_is_double = 0x80;

/// A stroke in texts and grids: usage (1 byte, below 0x80), + 0x80 with left Shift; or k_stroke_modified,
/// modifiers, usage. A text is length u8 (in bytes) + strokes; the grid is rows u8, columns u8, then rows *
/// columns strokes in reading order (k_stroke_none: an empty cell).
constexpr uint8_t k_stroke_none = 0x00;
constexpr uint8_t k_stroke_modified = 0x01;
constexpr uint8_t k_stroke_shift = 0x80;

}  // namespace engine
}  // namespace fettle
