#pragma once
// What the window has on screen, control by control: the one list that gives focus order, movement by five
// directions, numbers, scanning, and the text of the screen for tests and for tools that read it aloud.

#include <cstdint>
#include <string>
#include <vector>

#include "app/ui/geometry.hpp"

namespace fettle::app::ui {

enum class Role : std::uint8_t {
    button,
    toggle,
    option,
    choice,
    number,
    text_field,
    hold,
    cell,
    plot,
    heading,
    text,
    fact,
    note  ///< only read: never focused
};
bool is_worked(Role role);
/// "button", "toggle" ...: as the text of the screen says it.
const char* role_name(Role role);

struct Control {
    std::string id;  ///< stable, the same in every language: "assign.far.up"
    Role role = Role::button;
    std::string label;
    std::string value;  ///< "" if none: "300 ms", "on", what a text says
    bool is_enabled = true;
    bool is_on = false;  ///< toggles, options, lit cells
    bool is_focused = false;
    bool is_in_view = true;   ///< inside its scrolled panel's visible part
    Rect rect;                ///< on screen, unclipped
    std::string group;        ///< id of its group
    std::string panel;        ///< id of the part of the window that it scrolls with
    int number = 0;           ///< of the call list, from 10; 0: not in it
    bool is_scanned = false;  ///< marked by scanning, or in the group that is
};

struct Group {
    std::string id, label;
};

/// A part of the window. Unit: px.
struct Panel {
    std::string id;
    Rect rect;
    float scroll = 0, most_scroll = 0;  ///< 0: it shows everything
    bool is_always = false;             ///< there while an overlay is open, too
};

/// One frame's controls, in the order in which they were submitted: top to bottom, left to right.
struct Registry {
    std::vector<Control> controls;
    std::vector<Group> groups;
    std::vector<Panel> panels;
    const Panel* find_panel(const std::string& id) const;
    const Control* find(const std::string& id) const;
    /// The screen as text: a line a control, "3 button Undo", "toggle Dark theme: on [focused]". Groups as
    /// lines of their own.
    std::string dump() const;
};

}  // namespace fettle::app::ui
