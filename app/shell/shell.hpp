#pragma once
// The loop: waits for events, lets the scene take what is new, draws it, shows it. Knows nothing of devices
// or screens: a scene is three functions. Thread: the window's, but for wake(). Owner: main's wiring.

#include <cstdint>
#include <functional>
#include <memory>
#include <string>

#include "app/shell/png_file.hpp"
#include "app/shell/window.hpp"
#include "app/ui/options.hpp"
#include "app/ui/ui.hpp"
#include "core/base/clock.hpp"
#include "core/base/result.hpp"

namespace fettle::app {

struct Scene {
    std::function<void()> refresh;         ///< before each frame: what devices and workers have
    std::function<ui::Options()> options;  ///< how this person works the window, now
    std::function<void(ui::Ui&)> draw;     ///< between Ui::begin and Ui::end
};

struct ShellWish {
    WindowWish window;
    std::string place_file;        ///< where the window's place is remembered; "": nowhere
    std::string screen_text_file;  ///< ScreenTextFile; "": none
    /// Called once, after the first frame was shown.
    std::function<void()> on_first_frame;
};

class Shell {
public:
    /// clock outlives it. Errors: those of Window::open, of Fonts::load.
    static Result<std::unique_ptr<Shell>> open(const ShellWish& wish, const Clock& clock);
    ~Shell();
    Shell(const Shell&) = delete;
    Shell& operator=(const Shell&) = delete;

    /// Until the window is closed, by its system or by Control and Q that no control wanted. Errors: those
    /// of Fonts::load, at once; those of ScreenTextFile, at the end, when the last text was not written.
    Status run(const Scene& scene);
    /// Frames until nothing waits any more, at most 60, then the last one's picture.
    Result<Picture> picture(const Scene& scene);
    /// Something new is there: thread any.
    void wake();
    /// Per cent by which the system wants things larger, as a scale that a person may set: 100 to 300.
    int system_scale_percent() const;

private:
    struct Inside;
    explicit Shell(std::unique_ptr<Inside> inside);
    std::unique_ptr<Inside> inside_;
};

}  // namespace fettle::app
