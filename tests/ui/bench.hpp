#pragma once
// A window without a window: a Dear ImGui context, frames of 16 ms on a clock of its own, keys and pointer by
// hand. What a screen shows is read from the registry, what it drew from the draw data.

#include <functional>
#include <string>

#include "app/ui/ui.hpp"

struct ImGuiContext;

namespace fettle::app::test {

class Bench {
public:
    using View = std::function<void(ui::Ui&)>;
    explicit Bench(View view, int scale_percent = 100, ui::ThemeName theme = ui::ThemeName::dark,
                   Language language = Language::english);
    ~Bench();
    Bench(const Bench&) = delete;
    Bench& operator=(const Bench&) = delete;

    /// One frame, 16 ms later, with what was pressed since the last one.
    void frame();
    /// Frames until the window wants none, at most 20.
    void settle();
    /// Down and up, both before the next frame, then frames until it rests.
    void press(ui::Key key, bool shift = false, bool control = false);
    void key_down(ui::Key key);
    void key_up(ui::Key key);
    void type(const std::string& ascii);
    /// Pointer down and up on a control's middle.
    void click(const std::string& id);
    /// Tab until the control has the focus; false after a whole round.
    bool tab_to(const std::string& id);
    /// tab_to and Enter.
    bool work(const std::string& id);

    /// By the switch alone: waits until the group of the control is marked, then the control itself, and
    /// presses. False when that does not come within two rounds.
    bool scan_to(const std::string& id);

    const ui::Control* find(const std::string& id) const { return ui.registry().find(id); }
    std::string dump() const { return ui.registry().dump(); }
    bool shows(const std::string& part) const { return dump().find(part) != std::string::npos; }

    /// What is worked while `what` runs is only noted.
    void look_only(const std::function<void()>& what);

    ui::Ui ui;
    std::vector<std::string> worked;  ///< ids of what was worked, by whatever way
    ui::Options options;
    ui::Input input;
    View view;
    std::int64_t frames = 0;
    /// Called before each frame: lets 16 ms pass for whatever stands behind the screen.
    std::function<void()> before_frame;

private:
    /// Anew when the text size was changed, as the shell does it.
    void load_letters();

    ImGuiContext* context_;
    bool only_looks_ = false;
    int loaded_percent_ = 0;
};

ui::KeyEvent key_event(ui::Key key, bool is_down = true);

}  // namespace fettle::app::test
