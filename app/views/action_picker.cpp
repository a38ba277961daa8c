#include "app/views/action_picker.hpp"

#include <array>

#include "app/views/assign_words.hpp"
#include "core/profile/field_table.hpp"

namespace fettle::app {

using namespace profile;

namespace {

struct Row {
    Pick pick;
    const char* id;
    T label;
    T group;
};

constexpr std::array<Row, k_picks> k_rows = {{
    {Pick::move, "move", T::assign_pick_move, T::assign_group_pointer},
    {Pick::click, "click", T::assign_pick_click, T::assign_group_pointer},
    {Pick::double_click, "double_click", T::assign_pick_double_click, T::assign_group_pointer},
    {Pick::button_held, "button", T::assign_pick_button, T::assign_group_pointer},
    {Pick::drag, "drag", T::assign_pick_drag, T::assign_group_pointer},
    {Pick::jump, "jump", T::assign_pick_jump, T::assign_group_pointer},
    {Pick::scale, "scale", T::assign_pick_scale, T::assign_group_pointer},
    {Pick::scroll, "scroll", T::assign_pick_scroll, T::assign_group_pointer},
    {Pick::key_tapped, "key", T::assign_pick_key, T::assign_group_keyboard},
    {Pick::key_held, "key_held", T::assign_pick_key_held, T::assign_group_keyboard},
    {Pick::key_repeated, "key_repeated", T::assign_pick_key_repeated, T::assign_group_keyboard},
    {Pick::latch, "latch", T::assign_pick_latch, T::assign_group_keyboard},
    {Pick::lock, "lock", T::assign_pick_lock, T::assign_group_keyboard},
    {Pick::media, "media", T::assign_pick_media, T::assign_group_keyboard},
    {Pick::text, "text", T::assign_pick_text, T::assign_group_text},
    {Pick::grid_move, "grid_move", T::assign_pick_grid_move, T::assign_group_text},
    {Pick::grid_pick, "grid_pick", T::assign_pick_grid_pick, T::assign_group_text},
    {Pick::mode_go, "mode", T::assign_pick_mode, T::assign_group_modes},
    {Pick::mode_held, "mode_held", T::assign_pick_mode_held, T::assign_group_modes},
    {Pick::mode_next, "mode_next", T::assign_pick_mode_next, T::assign_group_modes},
    {Pick::variant_next, "variant_next", T::assign_pick_variant_next, T::assign_group_hands},
    {Pick::variant_go, "variant", T::assign_pick_variant, T::assign_group_hands},
    {Pick::release, "release", T::assign_pick_release, T::assign_group_safety},
    {Pick::keep, "keep", T::assign_pick_keep, T::assign_group_safety},
    {Pick::revert, "revert", T::assign_pick_revert, T::assign_group_safety},
    {Pick::extend, "extend", T::assign_pick_extend, T::assign_group_safety},
    {Pick::nothing, "nothing", T::assign_pick_nothing, T::assign_group_nothing},
}};

struct PickOf {
    Pick operator()(const Chord& a) const {
        return a.hold == ChordHold::tapped ? Pick::key_tapped
               : a.hold == ChordHold::held ? Pick::key_held
                                           : Pick::key_repeated;
    }
    Pick operator()(const Latch& a) const { return a.style == LatchStyle::lock ? Pick::lock : Pick::latch; }
    Pick operator()(const Button& a) const {
        return a.style == ButtonStyle::held    ? Pick::button_held
               : a.style == ButtonStyle::click ? Pick::click
                                               : Pick::double_click;
    }
    Pick operator()(const Drag&) const { return Pick::drag; }
    Pick operator()(const Move&) const { return Pick::move; }
    Pick operator()(const Scroll&) const { return Pick::scroll; }
    Pick operator()(const ModeChange& a) const {
        return a.style == ModeStyle::go_to  ? Pick::mode_go
               : a.style == ModeStyle::next ? Pick::mode_next
                                            : Pick::mode_held;
    }
    Pick operator()(const Consumer&) const { return Pick::media; }
    Pick operator()(const TypeText&) const { return Pick::text; }
    Pick operator()(const GridMove&) const { return Pick::grid_move; }
    Pick operator()(const GridPick&) const { return Pick::grid_pick; }
    Pick operator()(const Jump&) const { return Pick::jump; }
    Pick operator()(const Scale&) const { return Pick::scale; }
    Pick operator()(const ReleaseAll&) const { return Pick::release; }
    Pick operator()(const Keep&) const { return Pick::keep; }
    Pick operator()(const Revert&) const { return Pick::revert; }
    Pick operator()(const Extend&) const { return Pick::extend; }
    Pick operator()(const VariantChange& a) const {
        return a.style == VariantStyle::next ? Pick::variant_next : Pick::variant_go;
    }
};

/// An action of that kind, keeping of the one before what both have.
class Maker {
public:
    Maker(const Profile& profile, const AssignPlace& place)
        : profile_(profile), place_(place), before_(action_at(profile, place)) {}

    std::vector<edit::Edit> edits(Pick pick) {
        if (pick == Pick::nothing) return {set(std::nullopt)};
        if (const auto action = make(pick)) {
            needed_.push_back(set(action));
            return std::move(needed_);
        }
        return {};
    }

private:
    edit::Edit set(std::optional<Action> action) const {
        return edit::SetAction{place_.mode, place_.input, place_.gesture, std::move(action)};
    }
    template <typename A>
    const A* was() const {
        return before_ ? std::get_if<A>(&*before_) : nullptr;
    }

    std::optional<Action> make(Pick pick) {
        switch (pick) {
            case Pick::move: return was<Move>() ? before_ : Action(Move{way(false), motion()});
            case Pick::click: return Button{buttons(), ButtonStyle::click};
            case Pick::double_click: return Button{buttons(), ButtonStyle::double_click};
            case Pick::button_held: return Button{buttons(), ButtonStyle::held};
            case Pick::drag: return Drag{buttons()};
            case Pick::jump: return was<Jump>() ? before_ : Action(Jump{way(false), 100});
            case Pick::scale: return was<Scale>() ? before_ : Action(Scale{});
            case Pick::scroll: return was<Scroll>() ? before_ : Action(Scroll{way(true), 1, {}});
            case Pick::key_tapped: return key(ChordHold::tapped);
            case Pick::key_held: return key(ChordHold::held);
            case Pick::key_repeated: return key(ChordHold::repeated);
            case Pick::latch: return Latch{modifiers(), LatchStyle::latch_then_lock};
            case Pick::lock: return Latch{modifiers(), LatchStyle::lock};
            case Pick::media: return was<Consumer>() ? before_ : std::nullopt;
            case Pick::text: return text();
            case Pick::grid_move: grid(); return was<GridMove>() ? before_ : Action(GridMove{way(true), {}});
            case Pick::grid_pick: grid(); return GridPick{};
            case Pick::mode_go: return ModeChange{ModeStyle::go_to, mode()};
            case Pick::mode_held: return ModeChange{ModeStyle::while_held, mode()};
            case Pick::mode_next: return ModeChange{ModeStyle::next, {}};
            case Pick::variant_next: return VariantChange{VariantStyle::next, {}};
            case Pick::variant_go: return VariantChange{VariantStyle::go_to, variant()};
            case Pick::release: return ReleaseAll{};
            case Pick::keep: return Keep{};
            case Pick::revert: return Revert{};
            case Pick::extend: return Extend{};
            case Pick::nothing: break;
        }
        return std::nullopt;
    }

    /// The direction of the action before, else the one that the input is called by.
    Direction way(bool is_straight) const {
        Direction found = Direction::up;
        if (const auto* move = was<Move>()) found = move->direction;
        if (const auto* jump = was<Jump>()) found = jump->direction;
        if (const auto* scroll = was<Scroll>()) found = scroll->direction;
        if (const auto* grid = was<GridMove>()) found = grid->direction;
        if (!before_)
            for (const int d : {0, 2, 4, 6})
                if (place_.input == field::names::k_directions[d]) found = static_cast<Direction>(d);
        const bool is_diagonal = (static_cast<int>(found) & 1) != 0;
        return is_straight && is_diagonal ? Direction::up : found;
    }
    std::uint8_t buttons() const {
        if (const auto* button = was<Button>()) return button->buttons;
        if (const auto* drag = was<Drag>()) return drag->buttons;
        return 1;
    }
    std::uint8_t modifiers() const {
        if (const auto* latch = was<Latch>()) return latch->modifiers;
        if (const auto* chord = was<Chord>(); chord != nullptr && chord->stroke.modifiers != 0)
            return chord->stroke.modifiers;
        return 0x02;
    }
    std::optional<Action> key(ChordHold hold) {
        const auto* chord = was<Chord>();
        if (chord == nullptr) return std::nullopt;
        return Chord{chord->stroke, hold, hold == ChordHold::repeated ? repeat() : std::string{}};
    }
    std::string motion() {
        if (!profile_.motions.empty()) return profile_.motions[0].name;
        needed_.push_back(edit::PutMotion{Motion{"motion1", Travel{}}, {}});
        return "motion1";
    }
    std::string repeat() {
        if (!profile_.repeats.empty()) return profile_.repeats[0].name;
        needed_.push_back(edit::PutRepeat{Repeat{"repeat1"}});
        return "repeat1";
    }
    void grid() {
        if (profile_.grid.rows.empty()) needed_.push_back(edit::SetGrid{plain_grid()});
    }
    std::optional<Action> text() const {
        if (was<TypeText>()) return before_;
        if (profile_.texts.empty()) return std::nullopt;
        return TypeText{profile_.texts[0].name};
    }
    std::string mode() const {
        if (const auto* change = was<ModeChange>(); change != nullptr && !change->mode.empty())
            return change->mode;
        for (const Mode& one : profile_.modes)
            if (one.name != place_.mode) return one.name;
        return place_.mode;
    }
    std::string variant() const {
        return profile_.variants.empty() ? k_base_variant : profile_.variants[0].name;
    }

    const Profile& profile_;
    const AssignPlace& place_;
    std::optional<Action> before_;
    std::vector<edit::Edit> needed_;
};

void choose(Assign& a, Pick pick) {
    const auto edits = edits_of_pick(a.profile(), a.at(), pick);
    for (const edit::Edit& one : edits)
        if (!a.edit(one)) return;
    if (!edits.empty()) return a.back();
    AssignPlace to = a.at();
    to.focus.clear();
    a.state.key = {};
    switch (pick) {
        case Pick::key_held: a.state.key.hold = ChordHold::held; break;
        case Pick::key_repeated: a.state.key.hold = ChordHold::repeated; break;
        case Pick::text: to.page = AssignPage::texts; break;
        case Pick::media: to.page = AssignPage::media; break;
        default: break;
    }
    if (to.page == AssignPage::pick) to.page = AssignPage::key;
    a.state.new_text_is_for_cell = pick == Pick::text;
    a.go(to);
}

}  // namespace

Pick pick_of(const std::optional<Action>& action) {
    return action ? std::visit(PickOf{}, *action) : Pick::nothing;
}

std::string pick_id(Pick pick) {
    return std::string("assign.pick/") + k_rows.at(static_cast<std::size_t>(pick)).id;
}

std::vector<edit::Edit> edits_of_pick(const Profile& profile, const AssignPlace& place, Pick pick) {
    return Maker(profile, place).edits(pick);
}

void pick_page(Assign& a) {
    a.head(a.ui.t(T::assign_pick_title, a.at().input, a.at().mode, gesture_in(a.language(), a.at().gesture)));
    a.complaint();
    const Pick now = pick_of(action_at(a.profile(), a.at()));
    T group = T::assign_does;
    for (const Row& row : k_rows) {
        if (row.group != group) {
            if (group != T::assign_does) {
                a.ui.end_row();
                a.ui.end_group();
            }
            group = row.group;
            a.ui.group(std::string("assign.group/") + text_name(group), a.t(group));
            a.ui.heading(a.t(group));
            a.ui.row();
        }
        if (a.ui.option(pick_id(row.pick), a.t(row.label), row.pick == now)) choose(a, row.pick);
    }
    a.ui.end_row();
    a.ui.end_group();
}

}  // namespace fettle::app
