// The fields of each kind of action. Ranges and steps: core/profile/field_table.hpp.
#include <algorithm>
#include <array>

#include "app/views/action_picker.hpp"
#include "app/views/assign_words.hpp"
#include "app/words/action_words.hpp"
#include "core/profile/document.hpp"
#include "core/profile/field_table.hpp"

namespace fettle::app {

using namespace profile;

namespace {

constexpr std::array k_hold_words = {T::assign_hold_tapped, T::assign_hold_held, T::assign_hold_repeated};
constexpr std::array k_latch_words = {T::assign_latch_then_lock, T::assign_latch_only, T::assign_latch_lock};
constexpr std::array k_button_words = {T::assign_button_held, T::assign_button_click,
                                       T::assign_button_double};
constexpr std::array k_mode_words = {T::assign_mode_go, T::assign_mode_next, T::assign_mode_held};
constexpr std::array k_scale_words = {T::assign_scale_held, T::assign_scale_toggle};
constexpr std::array k_variant_words = {T::assign_variant_go, T::assign_variant_next};
constexpr std::array k_button_names = {T::assign_primary, T::assign_secondary, T::assign_tertiary};

class Fields {
public:
    explicit Fields(Assign& a) : a_(a) {}

    std::optional<Action> operator()(Chord c) {
        a_.ui.fact("assign.do.key", a_.t(T::assign_key), stroke_in(a_.language(), c.stroke, a_.layout()));
        if (a_.ui.button("assign.do.key_choose", a_.t(T::assign_key_choose))) {
            a_.state.key = {};
            a_.state.key.hold = c.hold;
            a_.state.key.stroke = c.stroke;
            AssignPlace to = a_.at();
            to.page = AssignPage::key;
            to.focus.clear();
            a_.go(to);
        }
        if (options("hold", T::assign_hold, k_hold_words, c.hold)) {
            c.repeat.clear();
            if (c.hold == ChordHold::repeated) c.repeat = first_repeat();
        }
        if (c.hold == ChordHold::repeated) repeat(c.repeat, false);
        return c;
    }
    std::optional<Action> operator()(Latch l) {
        a_.ui.text(a_.t(T::assign_modifiers));
        a_.ui.row();
        for (int bit = 0; bit < 8; ++bit) {
            const auto mask = static_cast<std::uint8_t>(1 << bit);
            const bool is_on = (l.modifiers & mask) != 0;
            const bool is_last = l.modifiers == mask;
            if (a_.ui.toggle("assign.do.modifier/" + std::to_string(bit), modifier_in(a_.language(), bit),
                             is_on, !is_last))
                l.modifiers = static_cast<std::uint8_t>(l.modifiers ^ mask);
        }
        a_.ui.end_row();
        options("latch", T::assign_how, k_latch_words, l.style);
        return l;
    }
    std::optional<Action> operator()(Button b) {
        buttons(b.buttons);
        options("button", T::assign_how, k_button_words, b.style);
        return b;
    }
    std::optional<Action> operator()(Drag d) {
        buttons(d.buttons);
        return d;
    }
    std::optional<Action> operator()(Move m) {
        direction(m.direction, 1);
        reference("motion", T::assign_motion, field::k_motion, m.motion);
        return m;
    }
    std::optional<Action> operator()(Scroll s) {
        direction(s.direction, 2);
        number("detents", T::assign_detents, field::k_detents, s.detents);
        repeat(s.repeat, true);
        return s;
    }
    std::optional<Action> operator()(ModeChange m) {
        if (options("mode_style", T::assign_how, k_mode_words, m.style)) {
            if (m.style == ModeStyle::next) m.mode.clear();
            if (m.style != ModeStyle::next && m.mode.empty()) m.mode = other_mode();
        }
        if (m.style != ModeStyle::next) reference("mode", T::assign_which_mode, field::k_to_mode, m.mode);
        return m;
    }
    std::optional<Action> operator()(Consumer c) {
        a_.ui.fact("assign.do.media", a_.t(T::assign_media), media_in(a_.language(), c.usage));
        if (a_.ui.button("assign.do.media_choose", a_.t(T::assign_key_choose))) {
            a_.state.key = {};
            a_.state.key.media = c.usage;
            AssignPlace to = a_.at();
            to.page = AssignPage::media;
            to.focus.clear();
            a_.go(to);
        }
        if (a_.ui.toggle("assign.do.held", a_.t(T::assign_media_held), c.is_held)) c.is_held = !c.is_held;
        return c;
    }
    std::optional<Action> operator()(TypeText t) {
        reference("text", T::assign_which_text, field::k_typed, t.text);
        a_.ui.row();
        if (a_.ui.button("assign.do.text_change", a_.ui.t(T::assign_jump_text, t.text))) {
            AssignPlace to;
            to.page = AssignPage::text;
            to.text = t.text;
            a_.go(to);
        }
        if (a_.ui.button("assign.do.text_new", a_.t(T::assign_text_other))) {
            AssignPlace to = a_.at();
            to.page = AssignPage::texts;
            to.focus = "assign.text_new";
            a_.state.new_text_is_for_cell = true;
            a_.go(to);
        }
        a_.ui.end_row();
        return t;
    }
    std::optional<Action> operator()(GridMove g) {
        direction(g.direction, 2);
        repeat(g.repeat, true);
        grid_button();
        return g;
    }
    std::optional<Action> operator()(GridPick g) {
        grid_button();
        return g;
    }
    std::optional<Action> operator()(Jump j) {
        direction(j.direction, 1);
        number("counts", T::assign_jump_counts, field::k_jump_counts, j.counts);
        return j;
    }
    std::optional<Action> operator()(Scale s) {
        options("scale", T::assign_how, k_scale_words, s.style);
        number("factor", T::assign_factor, field::k_factor_permille, s.factor_permille);
        return s;
    }
    std::optional<Action> operator()(VariantChange v) {
        if (options("variant_style", T::assign_how, k_variant_words, v.style))
            v.variant = v.style == VariantStyle::next ? std::string{}
                                                      : names_for(a_.profile(), field::k_to_variant)[0];
        if (v.style == VariantStyle::go_to)
            reference("variant", T::assign_which_variant, field::k_to_variant, v.variant);
        return v;
    }
    std::optional<Action> operator()(ReleaseAll r) { return hint(r, T::assign_hint_release); }
    std::optional<Action> operator()(Keep k) { return hint(k, T::assign_hint_keep); }
    std::optional<Action> operator()(Revert r) { return hint(r, T::assign_hint_revert); }
    std::optional<Action> operator()(Extend e) { return hint(e, T::assign_hint_extend); }

private:
    static std::string id(const std::string& name) { return "assign.do." + name; }

    std::optional<Action> hint(Action action, T words) {
        a_.ui.text(a_.t(words));
        return action;
    }
    /// True when another one was chosen.
    template <typename E, std::size_t count>
    bool options(const std::string& name, T label, const std::array<T, count>& words, E& value) {
        bool is_new = false;
        a_.ui.text(a_.t(label));
        a_.ui.row();
        for (std::size_t i = 0; i < count; ++i) {
            const bool is_chosen = static_cast<std::size_t>(value) == i;
            if (a_.ui.option(id(name) + "/" + std::to_string(i), a_.t(words[i]), is_chosen) && !is_chosen) {
                value = static_cast<E>(i);
                is_new = true;
            }
        }
        a_.ui.end_row();
        return is_new;
    }
    void direction(Direction& value, int step) {
        std::vector<std::string> words;
        for (int d = 0; d < 8; d += step)
            words.emplace_back(direction_in(a_.language(), static_cast<Direction>(d)));
        const auto chosen =
            a_.ui.choice(id("direction"), a_.t(T::assign_direction), words, static_cast<int>(value) / step);
        if (chosen) value = static_cast<Direction>(*chosen * step);
    }
    void reference(const std::string& name, T label, const Field& which, std::string& value) {
        std::vector<std::string> names = names_for(a_.profile(), which);
        const auto at = std::find(names.begin(), names.end(), value);
        const auto index = at == names.end() ? -1 : static_cast<int>(at - names.begin());
        std::vector<std::string> shown = names;
        for (std::string& one : shown)
            if (&which == &field::k_to_variant && one == k_base_variant) one = a_.t(T::assign_base);
        if (const auto chosen = a_.ui.choice(id(name), a_.t(label), shown, index))
            value = names[static_cast<std::size_t>(*chosen)];
    }
    void number(const std::string& name, T label, const Field& which, int& value) {
        if (const auto next = a_.ui.number(id(name), a_.t(label), value, range_of(a_.ui, which)))
            value = static_cast<int>(*next);
    }
    void buttons(std::uint8_t& value) {
        a_.ui.text(a_.t(T::assign_which_button));
        a_.ui.row();
        for (std::size_t i = 0; i < k_button_names.size(); ++i) {
            const auto mask = static_cast<std::uint8_t>(1u << i);
            const bool is_on = (value & mask) != 0;
            // The last one cannot be taken out: it would do nothing.
            if (a_.ui.toggle(id("buttons/") + std::to_string(i), a_.t(k_button_names[i]), is_on,
                             value != mask))
                value = static_cast<std::uint8_t>(value ^ mask);
        }
        a_.ui.end_row();
    }
    std::string first_repeat() {
        if (!a_.profile().repeats.empty()) return a_.profile().repeats[0].name;
        a_.edit(edit::PutRepeat{Repeat{"repeat1"}});
        return "repeat1";
    }
    /// Which repeat, and its times, which are the same wherever it is used.
    void repeat(std::string& name, bool may_be_none) {
        std::vector<std::string> shown;
        if (may_be_none) shown.emplace_back(a_.t(T::assign_once));
        for (const Repeat& one : a_.profile().repeats) shown.push_back(one.name);
        const bool can_add = a_.profile().repeats.size() < static_cast<std::size_t>(field::k_repeats.most);
        if (can_add) shown.emplace_back(a_.t(T::assign_repeat_new));
        const int none = may_be_none ? 1 : 0;
        const int at = index_of(a_.profile().repeats, name);
        const int now = name.empty() && may_be_none ? 0 : at < 0 ? -1 : at + none;
        if (const auto chosen = a_.ui.choice(id("repeat"), a_.t(T::assign_repeat), shown, now)) {
            const int i = *chosen - none;
            const auto& all = a_.profile().repeats;
            if (i < 0) {
                name.clear();
            } else if (static_cast<std::size_t>(i) < all.size()) {
                name = all[static_cast<std::size_t>(i)].name;
            } else {
                name = free_name(all, "repeat");
                a_.edit(edit::PutRepeat{Repeat{name}});
            }
            return;
        }
        if (const Repeat* found = find_named(a_.profile().repeats, name)) repeat_times(*found);
    }
    void repeat_times(Repeat one) {
        const Repeat before = one;
        number("repeat_delay", T::assign_repeat_delay, field::k_repeat_delay_ms, one.delay_ms);
        number("repeat_interval", T::assign_repeat_interval, field::k_repeat_interval_ms, one.interval_ms);
        if (!(one == before)) a_.edit(edit::PutRepeat{one});
    }
    void grid_button() {
        if (!a_.ui.button(id("grid"), a_.t(T::assign_jump_grid))) return;
        AssignPlace to;
        to.page = AssignPage::grid;
        a_.go(to);
    }
    std::string other_mode() const {
        for (const Mode& one : a_.profile().modes)
            if (one.name != a_.at().mode) return one.name;
        return a_.at().mode;
    }

    Assign& a_;
};

}  // namespace

std::optional<Action> action_fields(Assign& a, const Action& action) {
    Fields fields(a);
    return std::visit([&](const auto& one) { return fields(one); }, action);
}

}  // namespace fettle::app
