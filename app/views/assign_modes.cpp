// Modes: added, named, labelled for the device's display, put in order, removed.
#include <algorithm>

#include "app/views/assign_marks.hpp"
#include "app/views/assign_words.hpp"
#include "core/profile/field_table.hpp"

namespace fettle::app {

using namespace profile;

namespace {

constexpr int k_name_characters = 32;

void move_mode(Assign& a, int from, int to) {
    edit::Replace whole{a.profile()};
    auto& modes = whole.profile.modes;
    std::swap(modes.at(static_cast<std::size_t>(from)), modes.at(static_cast<std::size_t>(to)));
    a.edit(whole);
}

}  // namespace

void modes_page(Assign& a) {
    a.head(a.t(T::assign_modes));
    a.complaint();
    a.ui.text(a.t(T::assign_modes_hint));
    a.ui.group("assign.modes", a.t(T::assign_modes));
    for (const Mode& mode : a.profile().modes) {
        const auto which = [&](const Finding& f) { return concerns_mode(a.profile(), f, mode.name); };
        const std::string count = count_words(a, which);
        const std::string label = a.ui.t(T::assign_change_mode, mode.name);
        if (a.ui.button("assign.mode/" + mode.name, count.empty() ? label : label + " (" + count + ")")) {
            AssignPlace to;
            to.page = AssignPage::mode;
            to.mode = mode.name;
            a.go(to);
        }
    }
    if (const auto name =
            a.ui.text_field("assign.mode_new", a.t(T::assign_mode_new), "", k_name_characters)) {
        const auto most = static_cast<std::size_t>(field::k_label.most);
        a.edit(edit::AddMode{Mode{*name, name->substr(0, most), {}}});
    }
    a.ui.end_group();
}

void mode_page(Assign& a) {
    const std::string name = a.at().mode;
    const int at = index_of(a.profile().modes, name);
    const Mode& mode = a.profile().modes[static_cast<std::size_t>(at)];
    const int count = static_cast<int>(a.profile().modes.size());
    a.head(a.ui.t(T::assign_mode_named, name));
    a.complaint();
    a.ui.group("assign.mode", a.ui.t(T::assign_mode_named, name));
    if (const auto to = a.ui.text_field("assign.mode.name", a.t(T::assign_name), name, k_name_characters);
        to && *to != name && a.edit(edit::Rename{edit::Named::mode, name, *to}))
        a.state.at.mode = *to;
    if (const auto label = a.ui.text_field("assign.mode.label", a.t(T::assign_mode_label), mode.label,
                                           static_cast<int>(field::k_label.most)))
        a.edit(edit::SetModeLabel{name, *label});
    a.ui.fact("assign.mode.place", a.t(T::assign_mode_place), a.ui.t(T::assign_of, at + 1, count));
    a.ui.row();
    if (a.ui.button("assign.mode.earlier", a.t(T::assign_move_earlier), ui::Look::plain, at > 0))
        move_mode(a, at, at - 1);
    if (a.ui.button("assign.mode.later", a.t(T::assign_move_later), ui::Look::plain, at + 1 < count))
        move_mode(a, at, at + 1);
    const std::vector<std::string> question = {a.ui.t(T::assign_mode_remove_ask, name),
                                               a.t(T::assign_mode_remove_also)};
    if (a.ui.asking_button("assign.mode.remove", a.t(T::assign_remove), question, a.t(T::assign_remove),
                           ui::Look::danger, count > 1) &&
        a.edit(edit::RemoveMode{name}))
        a.back();
    a.ui.end_row();
    a.ui.end_group();
    findings_part(a, [&](const Finding& f) { return concerns_mode(a.profile(), f, name); });
}

}  // namespace fettle::app
