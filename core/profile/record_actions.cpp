#include "core/profile/records.hpp"

namespace fettle::profile {

namespace {

using engine::ActionDef;
using engine::ActionKind;

uint8_t style(auto value) {
    return static_cast<uint8_t>(value);
}
ActionDef wide(ActionKind kind, uint8_t style, int value) {
    return {kind, style, static_cast<uint8_t>(value & 0xFF), static_cast<uint8_t>(value >> 8)};
}

/// One overload for each kind of action.
struct Encoder {
    const Lookup& to;

    uint8_t repeat_or_none(const std::string& name) const {
        return name.empty() ? uint8_t{0} : static_cast<uint8_t>(to.repeat(name) + 1);
    }

    ActionDef operator()(const Chord& r) const {
        uint8_t how =
            style(r.hold == ChordHold::held ? engine::ChordStyle::held : engine::ChordStyle::tapped);
        if (r.hold == ChordHold::repeated)
            how = static_cast<uint8_t>(style(engine::ChordStyle::repeat_first) + to.repeat(r.repeat));
        return {ActionKind::chord, how, r.stroke.modifiers, r.stroke.usage};
    }
    ActionDef operator()(const Latch& r) const { return {ActionKind::latch, style(r.style), r.modifiers, 0}; }
    ActionDef operator()(const Button& r) const { return {ActionKind::button, style(r.style), r.buttons, 0}; }
    ActionDef operator()(const Drag& r) const { return {ActionKind::drag, 0, r.buttons, 0}; }
    ActionDef operator()(const Move& r) const {
        return {ActionKind::move, style(r.direction), to.motion(r.motion), 0};
    }
    ActionDef operator()(const Scroll& r) const {
        return {ActionKind::scroll, style(r.direction), static_cast<uint8_t>(r.detents),
                repeat_or_none(r.repeat)};
    }
    ActionDef operator()(const ModeChange& r) const {
        const uint8_t mode = r.style == ModeStyle::next ? uint8_t{0} : to.mode(r.mode);
        return {ActionKind::mode, style(r.style), mode, 0};
    }
    ActionDef operator()(const Consumer& r) const { return wide(ActionKind::consumer, r.is_held, r.usage); }
    ActionDef operator()(const TypeText& r) const { return {ActionKind::text, 0, to.text(r.text), 0}; }
    ActionDef operator()(const GridMove& r) const {
        return {ActionKind::grid_move, style(r.direction), 0, repeat_or_none(r.repeat)};
    }
    ActionDef operator()(const GridPick&) const { return {ActionKind::grid_pick, 0, 0, 0}; }
    ActionDef operator()(const Jump& r) const { return wide(ActionKind::jump, style(r.direction), r.counts); }
    ActionDef operator()(const Scale& r) const {
        return wide(ActionKind::scale, style(r.style), r.factor_permille);
    }
    ActionDef operator()(const ReleaseAll&) const { return {ActionKind::release_all, 0, 0, 0}; }
    ActionDef operator()(const Keep&) const { return {ActionKind::keep, 0, 0, 0}; }
    ActionDef operator()(const Revert&) const { return {ActionKind::revert, 0, 0, 0}; }
    ActionDef operator()(const Extend&) const { return {ActionKind::extend, 0, 0, 0}; }
    ActionDef operator()(const VariantChange& r) const {
        const uint8_t variant = r.style == VariantStyle::next ? uint8_t{0} : to.variant(r.variant);
        return {ActionKind::variant, style(r.style), variant, 0};
    }
};

Chord chord_of(const ActionDef& d, const Naming& names) {
    constexpr uint8_t k_first = static_cast<uint8_t>(engine::ChordStyle::repeat_first);
    const Stroke stroke{d.a, d.b};
    if (d.style >= k_first)
        return Chord{stroke, ChordHold::repeated, names.repeat(static_cast<uint8_t>(d.style - k_first))};
    return Chord{stroke, d.style == 1 ? ChordHold::held : ChordHold::tapped, {}};
}

std::string repeat_or_none(uint8_t b, const Naming& names) {
    return b == 0 ? std::string() : names.repeat(static_cast<uint8_t>(b - 1));
}

Action mode_of(const ActionDef& d, const Naming& names) {
    const auto style = static_cast<ModeStyle>(d.style);
    return ModeChange{style, style == ModeStyle::next ? std::string() : names.mode(d.a)};
}

Action variant_of(const ActionDef& d, const Naming& names) {
    const auto style = static_cast<VariantStyle>(d.style);
    return VariantChange{style, style == VariantStyle::next ? std::string() : names.variant(d.a)};
}

}  // namespace

engine::ActionDef action_def(const Action& action, const Lookup& lookup) {
    return std::visit(Encoder{lookup}, action);
}

std::optional<Action> action_of(const ActionDef& d, const Naming& names) {
    const auto direction = static_cast<Direction>(d.style);
    switch (d.kind) {
        case ActionKind::none: return std::nullopt;
        case ActionKind::chord: return chord_of(d, names);
        case ActionKind::latch: return Latch{d.a, static_cast<LatchStyle>(d.style)};
        case ActionKind::button: return Button{d.a, static_cast<ButtonStyle>(d.style)};
        case ActionKind::drag: return Drag{d.a};
        case ActionKind::move: return Move{direction, names.motion(d.a)};
        case ActionKind::scroll: return Scroll{direction, d.a, repeat_or_none(d.b, names)};
        case ActionKind::mode: return mode_of(d, names);
        case ActionKind::consumer: return Consumer{d.wide(), d.style == 1};
        case ActionKind::text: return TypeText{names.text(d.a)};
        case ActionKind::grid_move: return GridMove{direction, repeat_or_none(d.b, names)};
        case ActionKind::grid_pick: return GridPick{};
        case ActionKind::jump: return Jump{direction, d.wide()};
        case ActionKind::scale: return Scale{static_cast<ScaleStyle>(d.style), d.wide()};
        case ActionKind::release_all: return ReleaseAll{};
        case ActionKind::keep: return Keep{};
        case ActionKind::revert: return Revert{};
        case ActionKind::extend: return Extend{};
        case ActionKind::variant: return variant_of(d, names);
    }
    return std::nullopt;
}

}  // namespace fettle::profile
