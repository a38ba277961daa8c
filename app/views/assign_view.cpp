// The Assign screen: which of its pages is shown, and what they share.
#include <utility>

#include "app/views/assign_parts.hpp"
#include "app/words/sentences.hpp"

namespace fettle::app {

using namespace profile;

bool Assign::edit(const edit::Edit& change) {
    auto changed = edit::apply(after ? *after : profile(), change);
    if (!changed) {
        const Error& error = changed.error();
        state.complaint =
            error.code == Errc::duplicate ? t(T::assign_name_taken)
            : error.code == Errc::out_of_range
                ? ui.t(T::assign_not_allowed, error.detail)
                : ui.t(T::assign_refused, sentence(error, DeviceThen::not_involved, language()));
        return false;
    }
    state.complaint.clear();
    after = std::move(*changed);
    asked.emplace_back(change);
    return true;
}

void Assign::go(AssignPlace to) {
    next = std::move(to);
}

void Assign::head(const std::string& title) {
    if (ui.button("assign.back", t(T::control_back)) || ui.take_key(ui::Key::escape)) back();
    ui.heading(title);
}

void Assign::complaint() {
    ui.live("assign.complaint", ui.is_narrow() ? 4 : 2, state.complaint);
}

void Assign::finish(const Orders& orders) {
    for (Order& order : asked) orders(std::move(order));
    if (next) {
        AssignPlace here = std::exchange(state.at, *std::move(next));
        here.focus = ui.navigator().focus();
        state.before.push_back(std::move(here));
        state.focus_next = state.at.focus.empty() ? "assign.back" : state.at.focus;
        state.complaint.clear();
    } else if (goes_back) {
        state.at = state.before.empty() ? AssignPlace{} : state.before.back();
        if (!state.before.empty()) state.before.pop_back();
        state.focus_next = state.at.focus;
        state.complaint.clear();
    }
}

const std::optional<Action>& gesture_of(const Assignment& one, GestureName gesture) {
    switch (gesture) {
        case GestureName::short_press: break;
        case GestureName::long_press: return one.long_press;
        case GestureName::double_press: return one.double_press;
    }
    return one.short_press;
}

const Assignment* assignment_of(const Profile& profile, const std::string& mode, const std::string& input) {
    const Mode* found = find_named(profile.modes, mode);
    if (found == nullptr) return nullptr;
    for (const Assignment& one : found->assignments)
        if (one.input == input) return &one;
    return nullptr;
}

std::optional<Action> action_at(const Profile& profile, const AssignPlace& place) {
    const Assignment* one = assignment_of(profile, place.mode, place.input);
    return one == nullptr ? std::nullopt : gesture_of(*one, place.gesture);
}

ui::NumberRange range_of(const ui::Ui& ui, const Field& field) {
    const std::string unit = field.unit;
    ui::NumberRange range{field.least, field.most, field.step, unit, field.zero_is_off};
    if (unit == "counts") range.unit = ui.t(T::assign_unit_counts);
    if (unit == "detents") range.unit = ui.t(T::assign_unit_detents);
    if (unit == "permille") range.unit = ui.t(T::assign_unit_permille);
    return range;
}

namespace {

/// What stands on the page is still in the profile: an undo, another profile may have taken it away.
bool is_there(const Profile& profile, const AssignPlace& at) {
    switch (at.page) {
        case AssignPage::cell:
        case AssignPage::pick:
        case AssignPage::media:
            return find_named(profile.modes, at.mode) != nullptr &&
                   find_named(profile.inputs, at.input) != nullptr;
        case AssignPage::mode: return find_named(profile.modes, at.mode) != nullptr;
        case AssignPage::input: return find_named(profile.inputs, at.input) != nullptr;
        case AssignPage::text: return find_named(profile.texts, at.text) != nullptr;
        case AssignPage::grid_cell: {
            const auto& rows = profile.grid.rows;
            return static_cast<std::size_t>(at.row) < rows.size() &&
                   static_cast<std::size_t>(at.column) < rows[static_cast<std::size_t>(at.row)].size();
        }
        case AssignPage::key:
        case AssignPage::table:
        case AssignPage::modes:
        case AssignPage::inputs:
        case AssignPage::texts:
        case AssignPage::grid:
        case AssignPage::layout:
        case AssignPage::findings: break;
    }
    return true;
}

void shown_page(Assign& a) {
    switch (a.at().page) {
        case AssignPage::table: return table_page(a);
        case AssignPage::cell: return cell_page(a);
        case AssignPage::pick: return pick_page(a);
        case AssignPage::key: return key_page(a);
        case AssignPage::media: return media_page(a);
        case AssignPage::modes: return modes_page(a);
        case AssignPage::mode: return mode_page(a);
        case AssignPage::inputs: return inputs_page(a);
        case AssignPage::input: return input_page(a);
        case AssignPage::texts: return texts_page(a);
        case AssignPage::text: return text_page(a);
        case AssignPage::grid: return grid_page(a);
        case AssignPage::grid_cell: return grid_cell_page(a);
        case AssignPage::layout: return layout_page(a);
        case AssignPage::findings: return findings_page(a);
    }
}

}  // namespace

void assign_view(ui::Ui& ui, const Desk& desk, AssignState& state, const Orders& orders) {
    while (!is_there(desk.editing.profile, state.at)) {
        state.at = state.before.empty() ? AssignPlace{} : state.before.back();
        if (!state.before.empty()) state.before.pop_back();
        state.focus_next = state.at.focus;
    }
    if (!state.focus_next.empty()) ui.focus(std::exchange(state.focus_next, {}));
    Assign a{ui, desk, state};
    shown_page(a);
    a.finish(orders);
}

}  // namespace fettle::app
