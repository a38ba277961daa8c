#pragma once
// The system's window: GLFW and OpenGL, and nothing of what is shown in it. Thread: the one that opened it,
// but for wake(). Owner: the shell. One at a time in a process.

#include <cstdint>
#include <memory>
#include <string>

#include "app/shell/place.hpp"
#include "app/shell/png_file.hpp"
#include "app/ui/input.hpp"
#include "core/base/result.hpp"

struct ImDrawData;

namespace fettle::app {

struct WindowWish {
    std::string title;
    Place place{0, 0, 1280, 800};
    bool has_place = false;  ///< place's x and y count; otherwise the system puts it
};

class Window {
public:
    /// Needs a current Dear ImGui context, which outlives it. Errors: unsupported; where: "display" (none, or
    /// it does not answer) or "opengl" (3.0 or newer is not there); detail: what the system said.
    static Result<std::unique_ptr<Window>> open(const WindowWish& wish);
    ~Window();
    Window(const Window&) = delete;
    Window& operator=(const Window&) = delete;

    /// Returns after an event, a wake() or the time. 0: at once.
    void wait(std::int64_t us);
    /// Ends a wait. Many calls before the next frame end one. Thread: any, while the window is open.
    void wake();
    /// Somebody called wake() since the last take_woken().
    bool is_woken() const;
    void take_woken();
    /// Key, pointer, size or exposure since the last call.
    bool take_had_input();

    bool wants_close() const;
    bool is_hidden() const;  ///< minimised: there is nothing to draw on
    /// What happened since the last call, as far as one frame may see it (PointerQueue).
    ui::Input take_input(std::int64_t now_ms);
    /// More input waits for the next frame.
    bool has_more_input() const;

    /// The atlas of letters was built anew.
    void renew_letters();
    /// Before ImGui::NewFrame, when there are letters.
    void begin_frame();
    void draw(ImDrawData* data, ui::Color ground);
    /// Of what was drawn since the last show().
    Picture read_picture() const;
    void show();

    /// How much larger than usual the system wants things: 1.0, 1.5, 2.0 ...
    float content_scale() const;
    Place place() const;

private:
    struct Inside;
    explicit Window(std::unique_ptr<Inside> inside);
    std::unique_ptr<Inside> inside_;
};

}  // namespace fettle::app
