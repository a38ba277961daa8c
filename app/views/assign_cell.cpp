// One input in one mode: its three gestures, what the chosen one does, and why check() objects.
#include "app/views/action_picker.hpp"
#include "app/views/assign_marks.hpp"
#include "app/views/assign_words.hpp"

namespace fettle::app {

using namespace profile;

namespace {

/// The rules of the input let that gesture happen.
bool is_known(const RuleSet& rules, GestureName gesture) {
    switch (gesture) {
        case GestureName::short_press: break;
        case GestureName::long_press: return rules.long_ms > 0;
        case GestureName::double_press: return rules.double_ms > 0;
    }
    return true;
}

void gestures(Assign& a) {
    const Assignment* one = assignment_of(a.profile(), a.at().mode, a.at().input);
    a.ui.group("assign.gestures", a.t(T::assign_gestures));
    a.ui.row();
    for (const GestureName gesture :
         {GestureName::short_press, GestureName::long_press, GestureName::double_press}) {
        std::string label =
            std::string(gesture_sign(a.language(), gesture)) + " " + gesture_in(a.language(), gesture);
        if (one != nullptr && gesture_of(*one, gesture))
            label += ": " + short_action_words(a.language(), *gesture_of(*one, gesture), a.layout());
        const std::string id = "assign.gesture/" + std::to_string(static_cast<int>(gesture));
        if (a.ui.option(id, label, a.at().gesture == gesture)) a.state.at.gesture = gesture;
    }
    a.ui.end_row();
    a.ui.end_group();
}

/// What the chosen gesture needs, in one sentence of its own place.
void needs(Assign& a) {
    const Input* input = find_named(a.profile().inputs, a.at().input);
    const RuleSet* rules = input == nullptr ? nullptr : find_named(a.profile().rule_sets, input->rules);
    std::string words;
    if (input != nullptr && rules != nullptr) {
        switch (a.at().gesture) {
            case GestureName::short_press:
                words = rules->acceptance_ms == 0 ? a.t(T::assign_needs_short_now)
                                                  : a.ui.t(T::assign_needs_short, rules->acceptance_ms);
                break;
            case GestureName::long_press: words = a.ui.t(T::assign_needs_long, rules->long_ms); break;
            case GestureName::double_press: words = a.ui.t(T::assign_needs_double, rules->double_ms); break;
        }
        if (!is_known(*rules, a.at().gesture)) words = a.ui.t(T::assign_gesture_off, rules->name);
        if (std::holds_alternative<Untaught>(input->source)) words = a.ui.t(T::assign_untaught);
    }
    a.ui.live("assign.needs", a.ui.is_narrow() ? 4 : 2, words);
}

}  // namespace

void cell_page(Assign& a) {
    const std::string mode = a.at().mode;
    const std::string input = a.at().input;
    a.head(a.ui.t(T::assign_cell_title, input, mode));
    gestures(a);
    needs(a);
    const std::optional<Action> action = action_at(a.profile(), a.at());
    a.ui.group("assign.does", a.t(T::assign_does));
    const std::string words =
        action ? short_action_words(a.language(), *action, a.layout()) : a.t(T::assign_nothing);
    a.ui.fact("assign.now", gesture_in(a.language(), a.at().gesture), words);
    a.complaint();
    if (a.ui.button("assign.choose", a.t(T::assign_choose), ui::Look::strong)) {
        AssignPlace to = a.at();
        to.page = AssignPage::pick;
        to.focus = pick_id(pick_of(action));
        a.go(to);
    }
    if (action)
        if (const auto changed = action_fields(a, *action); changed && !(*changed == *action))
            a.edit(edit::SetAction{mode, input, a.at().gesture, *changed});
    a.ui.end_group();
    const auto which = [&](const Finding& f) {
        return concerns_cell(a.profile(), f, mode, input) || concerns_input(a.profile(), f, input) ||
               concerns_mode(a.profile(), f, mode);
    };
    if (count_of(a, which) == 0) return;
    a.ui.group("assign.here", a.t(T::assign_findings_here));
    a.ui.heading(a.t(T::assign_findings_here));
    findings_part(a, which);
    a.ui.end_group();
}

}  // namespace fettle::app
