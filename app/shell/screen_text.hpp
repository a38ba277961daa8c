#pragma once
// The screen as text in a file, for tools that read it aloud and for tests of the real window. The file is
// whole at every instant: it is written beside and moved over.
//
// First the screen as it is read: Registry::dump(), a line a control. Then a line "places", then a line a
// control with tabs between: id, role, number of the call list, x, y, width, height (px of the window),
// states ("focused", "on", "off now", "hidden", "-"; commas between), label, value. Line breaks and tabs
// inside are spaces.

#include <string>

#include "app/ui/control.hpp"
#include "core/base/file_system.hpp"
#include "core/base/result.hpp"

namespace fettle::app {

std::string screen_text(const ui::Registry& registry);

class ScreenTextFile {
public:
    explicit ScreenTextFile(std::string path, FileSystem& files = system_files())
        : path_(std::move(path)), files_(files) {}
    /// Writes when the text has changed. Not synced to the disk: it is of this moment only. Errors: those of
    /// file_failure.
    Status write(const ui::Registry& registry);

private:
    std::string path_;
    FileSystem& files_;
    std::string written_;
};

}  // namespace fettle::app
