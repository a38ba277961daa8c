#pragma once
// What the frame always says, in words.

#include <string>
#include <vector>

#include "app/desk/desk.hpp"
#include "app/ui/ui.hpp"

namespace fettle::app {

struct StatusLine {
    std::string id;
    ui::NoteKind kind = ui::NoteKind::hint;  ///< its shape
    std::string words;
};

/// Whose profile, and which.
StatusLine who_line(const ui::Ui& ui, const Desk& desk);
/// Of the link: stale within a second, whatever the I/O thread does.
StatusLine device_line(const ui::Ui& ui, const Desk& desk);
/// What is held down beyond a press, what runs: held, trial, recording, scanning, the worker. Only what there
/// is; what is held always.
std::vector<StatusLine> running_lines(const ui::Ui& ui, const Desk& desk);

}  // namespace fettle::app
