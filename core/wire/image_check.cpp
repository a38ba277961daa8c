#include "core/wire/image_check.hpp"

#include "core/wire/rom.hpp"

namespace fettle {
namespace wire {

using namespace engine;  // the records are the engine's

namespace {

/// Least and most of a two-byte value.
struct Range {
    uint16_t least, most;
};
constexpr uint16_t k_or_off = 0x8000;  ///< in `least`: 0 is lawful too

enum RangeIndex : uint8_t {
    rule_ranges = 0,
    repeat_ranges = 9,
    pace_ranges = 11,
    travel_ranges = 14,
    interval_range = 17,
    any_range,
    some_range,
    wheel_range,
    consumer_range,
    jump_range,
    scale_range,
    delay_range = repeat_ranges,
};

const Range k_ranges[] FETTLE_ROM = {
    {0, 5000},                          // acceptance
    {0, 5000},                          // debounce
    {0, 2000},                          // bridge
    {0, 5000},                          // refractory
    {k_or_off | 100, 5000},             // long
    {k_or_off | 100, 3000},             // double
    {0, 2000},                          // guard
    {0, 1000},                          // holdover
    {5, 6000},                          // longest hold
    {0, 5000},                          // repeat: delay; a motion's delay
    {20, 2000},                         // repeat: interval
    {8, 500},                           // stroke gap
    {40, 500},                          // click gap
    {k_trial_least_s, k_trial_most_s},  // trial
    {0, 20000},                         // travel: ramp
    {0, 2000},                          // travel: cadence window
    {1000, 8000},                       // travel: cadence gain
    {8, 1000},                          // mouse keys: interval
    {0, 0xFFFF},                        // anything
    {1, 0xFFFF},                        // anything but nothing
    {1, 127},                           // detents
    {1, k_consumer_usage_max},          // consumer usage
    {1, 32767},                         // counts of a jump
    {50, 4000},                         // permille of a scale
};

bool is_in(uint16_t value, uint8_t range) {
    const uint16_t least = rom_u16(&k_ranges[range].least);
    if (value == 0 && (least & k_or_off) != 0) return true;
    return value >= (least & ~k_or_off) && value <= rom_u16(&k_ranges[range].most);
}

bool are_in(const uint8_t* raw, uint8_t range, uint8_t count) {
    for (; count != 0; --count, raw += 2, ++range)
        if (!is_in(get16(raw), range)) return false;
    return true;
}

/// What an action of a kind may say.
struct ActionRule {
    uint8_t style;  ///< largest style, and the flags below
    uint8_t range;  ///< of a, or of a and b
    Tag names;      ///< a names one of these; Tag(0): nothing
};
constexpr uint8_t k_style_mask = 0x07;
constexpr uint8_t k_straight = 0x08;  ///< the style is a straight direction
constexpr uint8_t k_next = 0x10;      ///< style 1 means the next one, whatever a says
constexpr uint8_t k_wide = 0x20;      ///< a and b are one number
constexpr uint8_t k_repeats = 0x40;   ///< b is a repeat setting + 1, or 0
constexpr uint8_t k_needs_grid = 0x80;
constexpr Tag k_nothing = static_cast<Tag>(0);

const ActionRule k_actions[k_last_action_kind + 1] FETTLE_ROM = {
    {7, any_range, k_nothing},                                          // none
    {7 | k_wide, some_range, k_nothing},                                // chord; and is_chord_ok()
    {2, some_range, k_nothing},                                         // latch
    {2, some_range, k_nothing},                                         // button
    {7, some_range, k_nothing},                                         // drag
    {7, any_range, Tag::motions},                                       // move
    {7 | k_straight | k_repeats, wheel_range, k_nothing},               // scroll
    {2 | k_next, any_range, Tag::modes},                                // mode
    {1 | k_wide, consumer_range, k_nothing},                            // consumer
    {7, any_range, Tag::texts},                                         // text
    {7 | k_straight | k_repeats | k_needs_grid, any_range, k_nothing},  // grid_move
    {7 | k_needs_grid, any_range, k_nothing},                           // grid_pick
    {7 | k_wide, jump_range, k_nothing},                                // jump
    {1 | k_wide, scale_range, k_nothing},                               // scale
    {7, any_range, k_nothing},                                          // release_all
    {7, any_range, k_nothing},                                          // keep
    {7, any_range, k_nothing},                                          // revert
    {7, any_range, k_nothing},                                          // extend
    {1 | k_next, any_range, Tag::variant},                              // variant
};

bool is_chord_ok(uint8_t style, uint8_t usage, uint8_t repeats) {
    constexpr uint8_t k_first = static_cast<uint8_t>(ChordStyle::repeat_first);
    return (usage == 0 || is_usage_ok(usage)) && (style < k_first || style - k_first < repeats);
}

bool is_action_ok(const uint8_t* raw, const Counts& counts) {
    const uint8_t kind = raw[0] & 0x1Fu;
    const uint8_t style = static_cast<uint8_t>(raw[0] >> 5);
    const uint8_t repeats = counts.at(Tag::repeats);
    if (kind > k_last_action_kind) return false;  // kinds that a newer engine has
    ActionRule rule;
    read_rom(reinterpret_cast<const uint8_t*>(k_actions + kind), reinterpret_cast<uint8_t*>(&rule),
             sizeof rule);
    if (style > (rule.style & k_style_mask)) return false;
    if ((rule.style & k_straight) != 0 && (style & 1u) != 0) return false;
    if ((rule.style & k_repeats) != 0 && raw[2] > repeats) return false;
    if ((rule.style & k_needs_grid) != 0 && counts.at(Tag::grid) == 0) return false;
    if ((rule.style & k_next) != 0 && style == 1) return true;
    if (!is_in((rule.style & k_wide) != 0 ? get16(raw + 1) : raw[1], rule.range)) return false;
    if (rule.names != k_nothing && raw[1] >= counts.at(rule.names)) return false;
    return kind != static_cast<uint8_t>(ActionKind::chord) || is_chord_ok(style, raw[2], repeats);
}

bool is_input_ok(const uint8_t* raw, const Counts& counts) {
    if ((raw[0] >> 4) >= counts.at(Tag::rules)) return false;
    const Source source = static_cast<Source>(raw[0] & 0x0Fu);
    if (is_infrared(source)) return true;
    if (raw[4] != 0) return false;
    const uint8_t what = raw[1] & 0x7Fu;
    if (source == Source::axis) return what < k_axes && raw[3] < raw[2];
    if ((raw[2] | raw[3]) != 0) return false;
    if (source == Source::switch_line) return what >= 1 && what <= k_switch_lines;
    return source == Source::none && raw[1] == 0;  // waits to be taught
}

}  // namespace

bool is_usage_ok(uint8_t usage) {
    return usage >= k_first_usage && usage <= k_last_usage;
}

bool is_record_ok(uint8_t section, const uint8_t* raw, const Counts& counts) {
    switch (section) {
        case section_of(Tag::inputs): return is_input_ok(raw, counts);
        case section_of(Tag::rules):
            return (raw[0] & ~k_rule_act_on_release) == 0 && are_in(raw + 1, rule_ranges, 9);
        case section_of(Tag::modes): return raw[0] <= counts.at(Tag::actions);
        case section_of(Tag::gestures):
            return (raw[0] & ~k_gesture_is_double) < counts.at(Tag::modes) &&
                   raw[1] < counts.at(Tag::inputs) && raw[2] <= counts.at(Tag::actions);
        case section_of(Tag::actions): return is_action_ok(raw, counts);
        case section_of(Tag::repeats): return are_in(raw, repeat_ranges, 2);
        case section_of(Tag::labels): return raw[0] >= 0x20 && raw[0] <= 0x7E;
        case section_of(Tag::pace): return are_in(raw, pace_ranges, 3);
        default: return false;  // no other section has records of this sort
    }
}

bool is_motion_ok(const uint8_t* body, uint8_t size) {
    if (size < k_mouse_keys_head_bytes || !are_in(body + 1, delay_range, 1)) return false;
    if (body[0] == static_cast<uint8_t>(MotionFamily::travel))
        return size == k_travel_bytes && are_in(body + 4, travel_ranges, 3);
    const uint8_t last = body[5];
    return body[0] == static_cast<uint8_t>(MotionFamily::mouse_keys) && are_in(body + 3, interval_range, 1) &&
           last >= 1 && last <= 60 && size == k_mouse_keys_head_bytes + 2 * (last + 1);
}

}  // namespace wire
}  // namespace fettle
