// Inputs by modes: the first page.
#include <algorithm>

#include "app/views/assign_marks.hpp"
#include "app/views/assign_words.hpp"

namespace fettle::app {

using namespace profile;

namespace {

constexpr float k_least_column_em = 8;

/// What the device says of an input and of its mode, by their names; the edited profile may have others.
bool is_held_now(const Desk& desk, const std::string& input) {
    const auto& names = desk.names.inputs;
    const auto at = std::find(names.begin(), names.end(), input);
    const auto i = static_cast<std::size_t>(at - names.begin());
    return at != names.end() && i < desk.down.size() && desk.down[i];
}
/// The device is in that mode, or nobody knows in which.
bool may_be_in(const Desk& desk, const std::string& mode) {
    const auto& names = desk.names.modes;
    if (desk.mode >= names.size()) return true;
    return names[desk.mode] == mode;
}

std::string words_of(const Assign& a, const Assignment* one, bool is_whole) {
    std::string words;
    for (const GestureName gesture :
         {GestureName::short_press, GestureName::long_press, GestureName::double_press}) {
        if (one == nullptr || !gesture_of(*one, gesture)) continue;
        const std::string what = short_action_words(a.language(), *gesture_of(*one, gesture), a.layout());
        if (!words.empty()) words += is_whole ? "; " : "\n";
        words +=
            std::string(is_whole ? gesture_in(a.language(), gesture) : gesture_sign(a.language(), gesture)) +
            (is_whole ? ": " : " ") + what;
    }
    return words.empty() ? a.t(T::assign_nothing) : words;
}

/// The words of a mark, for those who do not see it.
std::string marked(const Assign& a, const std::string& label, const WhichFindings& which) {
    const std::string count = count_words(a, which);
    return count.empty() ? label : label + " (" + count + ")";
}

class Table {
public:
    Table(Assign& a, std::vector<std::string> modes, bool names_modes)
        : a_(a), modes_(std::move(modes)), names_modes_(names_modes), made_(made_of(a)) {
        const auto columns = static_cast<float>(modes_.size() + 1);
        wide_ = (a.ui.width() - (columns - 1) * a.ui.pad()) / columns - 1;
    }

    void draw() {
        a_.ui.group("assign.table", a_.t(T::assign_table));
        if (names_modes_) modes_row();
        for (const Input& input : a_.profile().inputs) {
            a_.ui.row();
            input_cell(input.name);
            for (const std::string& mode : modes_) cell(mode, input.name);
            a_.ui.end_row();
        }
        a_.ui.end_group();
    }

private:
    void modes_row() {
        a_.ui.row();
        if (a_.ui.cell("assign.all_inputs", a_.t(T::assign_inputs), a_.t(T::assign_corner), {}, wide_)) {
            AssignPlace to;
            to.page = AssignPage::inputs;
            a_.go(to);
        }
        for (const std::string& mode : modes_) mode_cell(mode);
        a_.ui.end_row();
    }
    /// True when it was selected.
    bool draw_cell(const std::string& id, const AssignFace& face, bool is_lit, bool is_empty) {
        ui::CellState state;
        state.is_lit = is_lit;
        state.is_empty = is_empty;
        if (face.is_warning) state.mark = ui::NoteKind::warning;
        if (face.is_problem) state.mark = ui::NoteKind::problem;
        return a_.ui.cell(id, face.label, face.shown, state, wide_);
    }
    void mode_cell(const std::string& mode) {
        const std::string id = "assign.mode/" + mode;
        const auto which = [&](const Finding& f) { return concerns_mode(a_.profile(), f, mode); };
        const AssignFace& face = face_of(a_, made_, id, which, [&] {
            const std::string name = a_.ui.t(T::assign_mode_named, mode);
            return AssignFace{name, name};
        });
        if (!draw_cell(id, face, false, false)) return;
        AssignPlace to;
        to.page = AssignPage::mode;
        to.mode = mode;
        a_.go(to);
    }
    void input_cell(const std::string& input) {
        const std::string id = "assign.input/" + input;
        const auto which = [&](const Finding& f) { return concerns_input(a_.profile(), f, input); };
        const AssignFace& face = face_of(a_, made_, id, which, [&] {
            return AssignFace{a_.ui.t(T::assign_input_named, input), input};
        });
        const bool is_lit = a_.ui.lamp("assign.lamp/" + input, is_held_now(a_.desk, input));
        if (!draw_cell(id, face, is_lit, false)) return;
        AssignPlace to;
        to.page = AssignPage::input;
        to.input = input;
        a_.go(to);
    }
    void cell(const std::string& mode, const std::string& input) {
        const Assignment* one = assignment_of(a_.profile(), mode, input);
        const std::string id = "assign.cell/" + mode + "/" + input;
        const auto which = [&](const Finding& f) { return concerns_cell(a_.profile(), f, mode, input); };
        const AssignFace& face = face_of(a_, made_, id, which, [&] {
            return AssignFace{a_.ui.t(T::assign_cell_label, input, mode) + ": " + words_of(a_, one, true),
                              words_of(a_, one, false)};
        });
        const bool is_lit = a_.ui.lamp("lamp " + id, is_held_now(a_.desk, input) && may_be_in(a_.desk, mode));
        if (!draw_cell(id, face, is_lit, one == nullptr)) return;
        AssignPlace to;
        to.page = AssignPage::cell;
        to.mode = mode;
        to.input = input;
        // The first that does something.
        for (const GestureName gesture :
             {GestureName::double_press, GestureName::long_press, GestureName::short_press})
            if (one != nullptr && gesture_of(*one, gesture)) to.gesture = gesture;
        a_.go(to);
    }

    Assign& a_;
    std::vector<std::string> modes_;
    bool names_modes_;
    AssignState::Made& made_;
    float wide_ = 0;
};

void page_button(Assign& a, const char* id, T text, AssignPage page, const WhichFindings& which) {
    if (!a.ui.button(id, marked(a, a.t(text), which))) return;
    AssignPlace to;
    to.page = page;
    a.go(to);
}

void findings_button(Assign& a) {
    page_button(a, "assign.findings", T::assign_findings, AssignPage::findings,
                [](const Finding&) { return true; });
}

void pages_row(Assign& a) {
    const auto spot_is = [&](Spot spot) {
        return [&a, spot](const Finding& f) { return place_of(a.profile(), f).spot == spot; };
    };
    a.ui.group("assign.pages", a.t(T::assign_more));
    a.ui.row();
    if (!a.ui.is_narrow()) findings_button(a);
    page_button(a, "assign.modes", T::assign_modes, AssignPage::modes,
                [&](const Finding& f) { return place_of(a.profile(), f).spot == Spot::mode; });
    page_button(a, "assign.inputs", T::assign_inputs, AssignPage::inputs, [&](const Finding& f) {
        const Spot spot = place_of(a.profile(), f).spot;
        return spot == Spot::input || spot == Spot::rules;
    });
    page_button(a, "assign.texts", T::assign_texts, AssignPage::texts, spot_is(Spot::text));
    page_button(a, "assign.grid", T::assign_grid, AssignPage::grid, spot_is(Spot::grid_cell));
    page_button(a, "assign.layout", T::assign_layout, AssignPage::layout, spot_is(Spot::layout));
    a.ui.end_row();
    a.ui.end_group();
}

/// The one mode that is shown where there is no room for all.
std::vector<std::string> one_mode(Assign& a, const std::vector<std::string>& all) {
    auto at = std::find(all.begin(), all.end(), a.state.shown_mode);
    if (at == all.end()) at = all.begin();
    a.ui.row();
    if (const auto chosen = a.ui.choice("assign.shown_mode", a.t(T::assign_shown_mode), all,
                                        static_cast<int>(at - all.begin())))
        a.state.shown_mode = all[static_cast<std::size_t>(*chosen)];
    const auto which = [&](const Finding& f) { return concerns_mode(a.profile(), f, *at); };
    a.ui.end_row();
    if (a.ui.button("assign.mode/" + *at, marked(a, a.ui.t(T::assign_change_mode, *at), which))) {
        AssignPlace to;
        to.page = AssignPage::mode;
        to.mode = *at;
        a.go(to);
    }
    return {*at};
}

}  // namespace

void table_page(Assign& a) {
    if (!a.at().mode.empty()) {
        a.state.shown_mode = a.at().mode;
        a.state.at.mode.clear();
    }
    a.ui.heading(a.t(T::screen_assign));
    const bool is_narrow = a.ui.is_narrow();
    if (!is_narrow) a.ui.text(a.t(T::assign_hint));
    if (is_narrow)
        findings_button(a);
    else
        pages_row(a);
    std::vector<std::string> modes = names_in(a.profile().modes);
    if (modes.empty()) return;
    const float em = a.ui.line_height();
    const float columns = static_cast<float>(modes.size() + 1);
    const bool has_room = !is_narrow && a.ui.width() / columns >= k_least_column_em * em;
    if (!has_room) modes = one_mode(a, modes);
    Table(a, modes, has_room).draw();
    if (is_narrow) pages_row(a);
    if (a.profile().inputs.empty()) a.ui.note(ui::NoteKind::hint, a.t(T::assign_no_inputs));
}

}  // namespace fettle::app
