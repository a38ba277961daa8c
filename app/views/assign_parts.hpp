#pragma once
// What the pages of the Assign screen share: what they read, and what they ask for. Asked for is given at the
// end of the frame, so that nothing changes under a page while it is drawn.

#include <string>
#include <vector>

#include "app/views/views.hpp"
#include "core/profile/fields.hpp"

namespace fettle::app {

struct Assign {
    ui::Ui& ui;
    const Desk& desk;
    AssignState& state;
    std::vector<Order> asked = {};
    std::optional<AssignPlace> next = {};
    bool goes_back = false;
    std::optional<profile::Profile> after = {};  ///< the profile as it will be, once something was asked for

    const profile::Profile& profile() const { return desk.editing.profile; }
    const AssignPlace& at() const { return state.at; }
    /// nullptr: not known on this system.
    const profile::StrokeSource* layout() const { return desk.editing.layout.get(); }
    Language language() const { return ui.options().language; }
    const char* t(T text) const { return ui.t(text); }

    /// Asks for the edit if it can be made after those asked for before; else says why not and gives false.
    bool edit(const edit::Edit& edit);
    /// To another page; Back returns here, to the control that has the focus now.
    void go(AssignPlace to);
    void back() { goes_back = true; }
    /// The page's heading under its way back; Escape goes back too.
    void head(const std::string& title);
    /// Why the last edit was not taken, and room for it when there is nothing to say.
    void complaint();
    /// Gives everything that was asked for.
    void finish(const Orders& orders);
};

/// Short, long or double press of an assignment.
const std::optional<profile::Action>& gesture_of(const profile::Assignment& one,
                                                 profile::GestureName gesture);
/// What an input does in a mode; nullptr: nothing there.
const profile::Assignment* assignment_of(const profile::Profile& profile, const std::string& mode,
                                         const std::string& input);
std::optional<profile::Action> action_at(const profile::Profile& profile, const AssignPlace& place);
/// Letters a to z, a space, Backspace and Enter, as a grid to begin with.
profile::Grid plain_grid();

/// A number's limits, step and unit as the field table has them.
ui::NumberRange range_of(const ui::Ui& ui, const profile::Field& field);
/// name, name2, name3 ...: the first that none of them has.
template <typename T>
std::string free_name(const std::vector<T>& all, const std::string& stem) {
    for (int i = 1;; ++i) {
        const std::string name = stem + std::to_string(i);
        if (profile::find_named(all, name) == nullptr) return name;
    }
}
template <typename T>
std::vector<std::string> names_in(const std::vector<T>& all) {
    std::vector<std::string> names;
    for (const T& one : all) names.push_back(one.name);
    return names;
}

// --- the pages ---
void table_page(Assign& a);
void cell_page(Assign& a);
void pick_page(Assign& a);
void key_page(Assign& a);
void media_page(Assign& a);
void modes_page(Assign& a);
void mode_page(Assign& a);
void inputs_page(Assign& a);
void input_page(Assign& a);
void texts_page(Assign& a);
void text_page(Assign& a);
void grid_page(Assign& a);
void grid_cell_page(Assign& a);
void layout_page(Assign& a);
void findings_page(Assign& a);

}  // namespace fettle::app
