#pragma once
// The profile as the host knows it: plain values. In the document, things are referred to by name; in the
// image, by index (image_compile.hpp). Ranges, defaults and help of every number stand in fields.hpp, once.
// Nothing here checks anything: parse() and compile() do, a screen may hold a half-edited profile.
// Thread: values, copied freely. Source of the words: X Keyboard Extension (delays, latch, lock, MouseKeys),
// HID usage tables (keys, consumer usages, buttons).

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "core/engine/infrared_frame.hpp"
#include "core/engine/setup.hpp"

namespace fettle::profile {

using engine::ButtonStyle;
using engine::Direction;
using engine::LatchStyle;
using engine::ModeStyle;
using engine::Protocol;
using engine::ScaleStyle;

/// Version of the document's form, not of its content.
inline constexpr int k_format_version = 1;

/// A key with its modifiers. modifiers: HID bit order (bit 0 left Control ... bit 7 right GUI).
/// usage: page 07; 0 = modifiers only.
struct Stroke {
    uint8_t modifiers = 0;
    uint8_t usage = 0;
    bool operator==(const Stroke&) const = default;
};

/// Names as XKB has them, e.g. "us" and "", "de" and "nodeadkeys". Empty layout: none chosen. Host only: the
/// device keeps strokes.
struct KeyboardLayout {
    std::string layout = "us";
    std::string variant;
    bool operator==(const KeyboardLayout&) const = default;
};

// --- inputs ---

/// A remote's button. address, command, extended as IrFrame has them; with Protocol::unknown only `signature`
/// counts, otherwise it is 0.
struct Infrared {
    Protocol protocol = Protocol::nec;
    int address = 0;
    int command = 0;
    int extended = 0;
    uint32_t signature = 0;
    bool operator==(const Infrared&) const = default;
};

/// line: 1 to 8. closed_low: the closed contact pulls the line low (the usual wiring: contact to ground,
/// pull-up).
struct Switch {
    int line = 1;
    bool closed_low = true;
    bool operator==(const Switch&) const = default;
};

enum class AxisName : uint8_t { stick_x = 0, stick_y = 1, pressure = 2, spare = 3 };
enum class AxisSide : uint8_t { positive = 0, negative = 1 };

/// A deflection that counts as down. on, off: permille of full deflection, off below on (hysteresis). The
/// device keeps 255 steps.
struct Axis {
    AxisName axis = AxisName::stick_x;
    AxisSide side = AxisSide::positive;
    int on_permille = 500;
    int off_permille = 350;
    bool operator==(const Axis&) const = default;
};

/// Waits to be taught.
struct Untaught {
    bool operator==(const Untaught&) const = default;
};

using InputSource = std::variant<Infrared, Switch, Axis, Untaught>;

struct Input {
    std::string name;
    std::string rules;  ///< name of a rule set
    InputSource source;
    bool operator==(const Input&) const = default;
};

// --- press rules, motion, repeat ---

/// Units in the names; meaning: engine::RuleDef.
struct RuleSet {
    std::string name;
    bool act_on_release = false;
    int acceptance_ms = 0;
    int debounce_ms = 0;
    int bridge_ms = 0;
    int refractory_ms = 0;
    int long_ms = 600;    ///< 0: never long
    int double_ms = 400;  ///< 0: never double
    int guard_ms = 0;
    int holdover_ms = 120;
    int longest_hold_ms = 30000;  ///< steps of 100 ms
    bool operator==(const RuleSet&) const = default;
};

/// Speed while a direction is held, by its shape: from start to top over the ramp, as a power of the time.
struct SpeedShape {
    int start_counts_per_s = 40;
    int top_counts_per_s = 600;
    int exponent_permille = 1000;  ///< 1000: straight
    bool operator==(const SpeedShape&) const = default;
};
/// The same as explicit points, evenly spread over the ramp: counts a ms in Q16, as the device has them.
struct SpeedPoints {
    std::array<uint32_t, engine::k_curve_points> q16_counts_per_ms{};
    bool operator==(const SpeedPoints&) const = default;
};
struct Travel {
    int first_step_counts = 1;
    int delay_ms = 300;
    int ramp_ms = 1500;
    int cadence_window_ms = 0;
    int cadence_gain_permille = 1000;
    std::variant<SpeedShape, SpeedPoints> speed;
    bool operator==(const Travel&) const = default;
};

/// X Keyboard Extension, MouseKeysAccel: delta and max_speed in counts, time_to_max in events.
struct MouseKeysShape {
    int delta_counts = 1;
    int time_to_max_events = 30;
    int max_speed = 30;  ///< times delta
    int curve_permille = 500;
    bool operator==(const MouseKeysShape&) const = default;
};
/// The same as explicit moves: event 0, 1 ... time_to_max (2 to 61 of them).
struct MouseKeysMoves {
    std::vector<int> counts;
    bool operator==(const MouseKeysMoves&) const = default;
};
struct MouseKeys {
    int delay_ms = 160;
    int interval_ms = 40;
    std::variant<MouseKeysShape, MouseKeysMoves> moves;
    bool operator==(const MouseKeys&) const = default;
};

struct Motion {
    std::string name;
    std::variant<Travel, MouseKeys> family;
    bool operator==(const Motion&) const = default;
};

struct Repeat {
    std::string name;
    int delay_ms = 500;
    int interval_ms = 150;
    bool operator==(const Repeat&) const = default;
};

// --- texts, grid ---

/// A piece of text (UTF-8, typed through the keyboard layout) or one stroke.
using TextPart = std::variant<std::string, Stroke>;
struct Text {
    std::string name;
    std::vector<TextPart> parts;
    bool operator==(const Text&) const = default;
};

/// A cell: empty, the character that it types (UTF-8), or a stroke.
using Cell = std::variant<std::monostate, std::string, Stroke>;
/// All rows equally long. No rows: no grid.
struct Grid {
    std::vector<std::vector<Cell>> rows;
    bool operator==(const Grid&) const = default;
};

// --- actions ---

enum class ChordHold : uint8_t {
    tapped,   ///< pressed and let go at once
    held,     ///< down as long as the press, the host's own repeat
    repeated  ///< tapped again and again by the device
};
struct Chord {
    Stroke stroke;
    ChordHold hold = ChordHold::tapped;
    std::string repeat;  ///< name of a repeat, only with `repeated`
    bool operator==(const Chord&) const = default;
};
struct Latch {
    uint8_t modifiers = 0;
    LatchStyle style = LatchStyle::latch_then_lock;
    bool operator==(const Latch&) const = default;
};
/// buttons: bit 0 primary, 1 secondary, 2 tertiary.
struct Button {
    uint8_t buttons = 1;
    ButtonStyle style = ButtonStyle::held;
    bool operator==(const Button&) const = default;
};
struct Drag {
    uint8_t buttons = 1;
    bool operator==(const Drag&) const = default;
};
struct Move {
    Direction direction = Direction::up;
    std::string motion;
    bool operator==(const Move&) const = default;
};
/// direction: a straight one. repeat: empty = once a press.
struct Scroll {
    Direction direction = Direction::up;
    int detents = 1;
    std::string repeat;
    bool operator==(const Scroll&) const = default;
};
/// mode: empty with ModeStyle::next.
struct ModeChange {
    ModeStyle style = ModeStyle::go_to;
    std::string mode;
    bool operator==(const ModeChange&) const = default;
};
struct Consumer {
    uint16_t usage = 0;  ///< page 0C
    bool is_held = false;
    bool operator==(const Consumer&) const = default;
};
struct TypeText {
    std::string text;
    bool operator==(const TypeText&) const = default;
};
struct GridMove {
    Direction direction = Direction::right;
    std::string repeat;
    bool operator==(const GridMove&) const = default;
};
struct GridPick {
    bool operator==(const GridPick&) const = default;
};
struct Jump {
    Direction direction = Direction::right;
    int counts = 100;
    bool operator==(const Jump&) const = default;
};
struct Scale {
    ScaleStyle style = ScaleStyle::while_held;
    int factor_permille = 300;
    bool operator==(const Scale&) const = default;
};
struct ReleaseAll {
    bool operator==(const ReleaseAll&) const = default;
};
struct Keep {
    bool operator==(const Keep&) const = default;
};
struct Revert {
    bool operator==(const Revert&) const = default;
};
struct Extend {
    bool operator==(const Extend&) const = default;
};
enum class VariantStyle : uint8_t { go_to = 0, next = 1 };
/// The profile as it stands, as a variant that can be gone to.
inline constexpr const char* k_base_variant = "base";
/// variant: k_base_variant, a variant's name, or empty with `next`.
struct VariantChange {
    VariantStyle style = VariantStyle::next;
    std::string variant;
    bool operator==(const VariantChange&) const = default;
};

using Action = std::variant<Chord, Latch, Button, Drag, Move, Scroll, ModeChange, Consumer, TypeText,
                            GridMove, GridPick, Jump, Scale, ReleaseAll, Keep, Revert, Extend, VariantChange>;

// --- modes, variants, the whole ---

/// What one input does in one mode.
struct Assignment {
    std::string input;
    std::optional<Action> short_press;
    std::optional<Action> long_press;
    std::optional<Action> double_press;
    bool operator==(const Assignment&) const = default;
};

/// label: what the device's display shows, up to 12 ASCII characters.
struct Mode {
    std::string name;
    std::string label;
    std::vector<Assignment> assignments;  ///< one an input at most; those that do nothing may be left out
    bool operator==(const Mode&) const = default;
};

/// Overrides of rule sets and motions, each named like the one that it stands in for.
struct Variant {
    std::string name;
    std::string label;
    std::vector<RuleSet> rule_sets;
    std::vector<Motion> motions;
    bool operator==(const Variant&) const = default;
};

struct Pace {
    int stroke_gap_ms = 20;
    int click_gap_ms = 50;
    int trial_s = 60;
    bool operator==(const Pace&) const = default;
};

using ProfileId = std::array<uint8_t, 8>;

/// The first mode is the one that the device starts in.
struct Profile {
    std::string name;  ///< host only, never in the image
    ProfileId id{};
    int version = 1;
    KeyboardLayout keyboard_layout;
    std::vector<RuleSet> rule_sets;
    std::vector<Motion> motions;
    std::vector<Repeat> repeats;
    std::vector<Text> texts;
    std::vector<Input> inputs;
    std::vector<Mode> modes;
    Grid grid;
    Pace pace;
    std::vector<Variant> variants;
    bool operator==(const Profile&) const = default;
};

/// The record of that name, or nullptr / -1. Names are compared byte by byte.
template <typename T>
const T* find_named(const std::vector<T>& all, const std::string& name) {
    for (const T& one : all)
        if (one.name == name) return &one;
    return nullptr;
}
template <typename T>
int index_of(const std::vector<T>& all, const std::string& name) {
    for (size_t i = 0; i < all.size(); ++i)
        if (all[i].name == name) return static_cast<int>(i);
    return -1;
}

}  // namespace fettle::profile
