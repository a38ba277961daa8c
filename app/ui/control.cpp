#include "app/ui/control.hpp"

#include <algorithm>

namespace fettle::app::ui {

bool is_worked(Role role) {
    switch (role) {
        case Role::button:
        case Role::toggle:
        case Role::option:
        case Role::choice:
        case Role::number:
        case Role::text_field:
        case Role::hold:
        case Role::cell:
        case Role::plot: return true;
        case Role::heading:
        case Role::text:
        case Role::fact:
        case Role::note: return false;
    }
    return false;
}

const char* role_name(Role role) {
    switch (role) {
        case Role::button: return "button";
        case Role::toggle: return "toggle";
        case Role::option: return "option";
        case Role::choice: return "choice";
        case Role::number: return "number";
        case Role::text_field: return "text field";
        case Role::hold: return "hold";
        case Role::cell: return "cell";
        case Role::plot: return "plot";
        case Role::heading: return "heading";
        case Role::text: return "text";
        case Role::fact: return "fact";
        case Role::note: return "note";
    }
    return "";
}

const Control* Registry::find(const std::string& id) const {
    for (const Control& control : controls)
        if (control.id == id) return &control;
    return nullptr;
}

const Panel* Registry::find_panel(const std::string& id) const {
    for (const Panel& panel : panels)
        if (panel.id == id) return &panel;
    return nullptr;
}

namespace {

std::string line_of(const Control& control) {
    std::string line = control.number > 0 ? std::to_string(control.number) + " " : "";
    line += std::string(role_name(control.role)) + " " + control.label;
    if (!control.value.empty()) line += ": " + control.value;
    if (control.is_on) line += " [on]";
    if (!control.is_enabled) line += " [not now]";
    if (control.is_focused) line += " [focused]";
    if (control.is_scanned) line += " [marked]";
    return line;
}

}  // namespace

std::string Registry::dump() const {
    std::string all;
    std::string group;
    for (const Control& control : controls) {
        if (control.group != group) {
            group = control.group;
            const auto named =
                std::find_if(groups.begin(), groups.end(), [&](const Group& one) { return one.id == group; });
            if (named != groups.end()) all += "-- " + named->label + "\n";
        }
        all += line_of(control) + "\n";
    }
    return all;
}

}  // namespace fettle::app::ui
