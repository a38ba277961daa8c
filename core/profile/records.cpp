#include "core/profile/records.hpp"

#include <algorithm>

#include "core/engine/bytes.hpp"
#include "core/profile/curve.hpp"
#include "core/profile/field_table.hpp"

namespace fettle::profile {

namespace {

uint8_t to_u8(int value) {
    return static_cast<uint8_t>(value);
}
uint16_t to_u16(int value) {
    return static_cast<uint16_t>(value);
}

uint8_t step_of(int permille) {
    return to_u8((permille * 255 + 500) / 1000);
}
int permille_of(uint32_t step) {
    return static_cast<int>((step * 1000 + 127) / 255);
}

uint32_t infrared_code(const Infrared& r) {
    engine::IrFrame frame = engine::make_ir_frame(r.protocol, to_u16(r.address), to_u16(r.command));
    frame.extended = to_u8(r.extended);
    frame.signature = r.signature;
    return engine::ir_code(frame);
}

Infrared infrared_of(const engine::InputDef& def) {
    Infrared r;
    r.protocol = static_cast<Protocol>(def.source);
    if (r.protocol == Protocol::unknown) {
        r.signature = def.code;
        return r;
    }
    r.command = static_cast<int>(def.code & 0xFFu);
    r.address = static_cast<int>((def.code >> 8) & 0xFFFFu);
    r.extended = static_cast<int>(def.code >> 24);
    return r;
}

bool is_in_ranges(const SpeedShape& r) {
    return is_in_range(field::k_start_counts_per_s, r.start_counts_per_s) &&
           is_in_range(field::k_top_counts_per_s, r.top_counts_per_s) &&
           is_in_range(field::k_exponent_permille, r.exponent_permille);
}
bool is_in_ranges(const MouseKeysShape& r) {
    return is_in_range(field::k_delta_counts, r.delta_counts) && is_in_range(field::k_max_speed, r.max_speed);
}

MouseKeys mouse_keys_of(const uint8_t* body) {
    MouseKeys r;
    r.delay_ms = engine::get16(body + 1);
    r.interval_ms = engine::get16(body + 3);
    std::vector<uint16_t> moves;
    for (int i = 0; i <= body[5]; ++i)
        moves.push_back(engine::get16(body + engine::k_mouse_keys_head_bytes + 2 * i));
    r.moves = MouseKeysMoves{std::vector<int>(moves.begin(), moves.end())};
    if (const auto shape = fit_mouse_keys(moves); shape && is_in_ranges(*shape)) r.moves = *shape;
    return r;
}

constexpr uint8_t k_high_bit = 0x80;  // closed is low; negative side

}  // namespace

engine::RuleDef rule_def(const RuleSet& r) {
    return engine::RuleDef{r.act_on_release ? engine::k_rule_act_on_release : uint8_t{0},
                           to_u16(r.acceptance_ms),
                           to_u16(r.debounce_ms),
                           to_u16(r.bridge_ms),
                           to_u16(r.refractory_ms),
                           to_u16(r.long_ms),
                           to_u16(r.double_ms),
                           to_u16(r.guard_ms),
                           to_u16(r.holdover_ms),
                           to_u16(r.longest_hold_ms / 100)};
}

RuleSet rule_set(const engine::RuleDef& d, std::string name) {
    return RuleSet{std::move(name),
                   (d.flags & engine::k_rule_act_on_release) != 0,
                   d.acceptance_ms,
                   d.debounce_ms,
                   d.bridge_ms,
                   d.refractory_ms,
                   d.long_ms,
                   d.double_ms,
                   d.guard_ms,
                   d.holdover_ms,
                   d.longest_hold_ds * 100};
}

engine::InputDef input_def(const InputSource& source, uint8_t rule) {
    if (const auto* r = std::get_if<Infrared>(&source))
        return {static_cast<engine::Source>(r->protocol), rule, infrared_code(*r)};
    if (const auto* r = std::get_if<Switch>(&source))
        return {engine::Source::switch_line, rule,
                static_cast<uint32_t>(r->line) | (r->closed_low ? k_high_bit : 0u)};
    if (const auto* r = std::get_if<Axis>(&source)) {
        const uint32_t side = r->side == AxisSide::negative ? k_high_bit : 0u;
        const uint32_t on = step_of(r->on_permille), off = step_of(r->off_permille);
        return {engine::Source::axis, rule, static_cast<uint32_t>(r->axis) | side | on << 8 | off << 16};
    }
    return {engine::Source::none, rule, 0};
}

InputSource input_source(const engine::InputDef& def) {
    if (engine::is_infrared(def.source)) return infrared_of(def);
    if (def.source == engine::Source::switch_line)
        return Switch{static_cast<int>(def.code & 0x7Fu), (def.code & k_high_bit) != 0};
    if (def.source == engine::Source::axis)
        return Axis{static_cast<AxisName>(def.code & 0x7Fu),
                    (def.code & k_high_bit) != 0 ? AxisSide::negative : AxisSide::positive,
                    permille_of((def.code >> 8) & 0xFFu), permille_of((def.code >> 16) & 0xFFu)};
    return Untaught{};
}

Bytes motion_record(const Motion& motion) {
    return std::visit([](const auto& family) { return motion_record(family); }, motion.family);
}

Motion motion_of(const uint8_t* body, std::string name) {
    using engine::get16;
    if (static_cast<engine::MotionFamily>(body[0]) == engine::MotionFamily::mouse_keys)
        return Motion{std::move(name), mouse_keys_of(body)};
    Travel r;
    r.delay_ms = get16(body + 1);
    r.first_step_counts = body[3];
    r.ramp_ms = get16(body + 4);
    r.cadence_window_ms = get16(body + 6);
    r.cadence_gain_permille = get16(body + 8);
    SpeedTable points{};
    for (std::size_t i = 0; i < points.size(); ++i)
        points[i] = get16(body + 10 + 3 * i) | static_cast<uint32_t>(body[12 + 3 * i]) << 16;
    r.speed = SpeedPoints{points};
    if (const auto shape = fit_travel(points); shape && is_in_ranges(*shape)) r.speed = *shape;
    return Motion{std::move(name), r};
}

void put_stroke(Bytes& to, const Stroke& stroke) {
    constexpr uint8_t k_left_shift = 0x02;
    const bool is_short = stroke.usage < engine::k_stroke_shift;
    if (is_short && stroke.modifiers == 0) {
        to.push_back(stroke.usage);
    } else if (is_short && stroke.modifiers == k_left_shift) {
        to.push_back(to_u8(stroke.usage | engine::k_stroke_shift));
    } else {
        to.insert(to.end(), {engine::k_stroke_modified, stroke.modifiers, stroke.usage});
    }
}

std::optional<Stroke> take_stroke(const Bytes& image, std::size_t& at) {
    const uint8_t first = image[at++];
    if (first == engine::k_stroke_none) return std::nullopt;
    if (first == engine::k_stroke_modified) {
        at += 2;
        return Stroke{image[at - 2], image[at - 1]};
    }
    const bool is_shifted = (first & engine::k_stroke_shift) != 0;
    return Stroke{is_shifted ? uint8_t{0x02} : uint8_t{0}, to_u8(first & ~engine::k_stroke_shift)};
}

}  // namespace fettle::profile
