#include "app/shell/shell.hpp"

#include <imgui.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "app/shell/frame_limiter.hpp"
#include "app/shell/frame_print.hpp"
#include "app/shell/screen_text.hpp"
#include "app/ui/fonts.hpp"
#include "app/ui/imgui_compat.hpp"
#include "core/base/files.hpp"

namespace fettle::app {

namespace {

struct ContextEnd {
    void operator()(ImGuiContext* context) const { ImGui::DestroyContext(context); }
};

}  // namespace

struct Shell::Inside {
    Inside(ShellWish wished, const Clock& time) : wish(std::move(wished)), clock(time) {}

    ShellWish wish;
    const Clock& clock;
    std::unique_ptr<ImGuiContext, ContextEnd> context{ImGui::CreateContext()};
    std::unique_ptr<Window> window;
    ui::Fonts fonts;
    int fonts_percent = 0;
    std::uint64_t letters = 0;  ///< how often the atlas was built
    ui::Color ground;
    ui::Ui ui;
    FrameLimiter limiter;
    std::optional<ScreenTextFile> screen_text;
    Status text_status = Done{};    ///< of the last write
    std::int64_t frame_us = 0;      ///< when the last frame began
    std::uint64_t shown_print = 0;  ///< of the frame that is on screen
    bool must_draw = true;          ///< whatever it looks like: the window was covered, or changed its size
    bool is_over = false;           ///< closed by its key: Control and Q

    /// The letters fit the scale and the words, before the frame that needs them.
    Status renew_fonts(const ui::Options& options) {
        if (options.scale_percent == fonts_percent && !fonts.is_behind()) return Done{};
        const auto loaded = fonts.load(ui::k_text_px * static_cast<float>(options.scale_percent) / 100.0f);
        if (!loaded) return loaded;
        if (fonts_percent != 0) window->renew_letters();
        ++letters;
        fonts_percent = options.scale_percent;
        return Done{};
    }

    /// What is shown may be in any script: names, labels of a device.
    void want_shown_letters() {
        for (const ui::Control& control : ui.registry().controls) {
            fonts.want(control.label);
            fonts.want(control.value);
        }
    }

    Status draw_frame(const Scene& scene) {
        const std::int64_t now_us = clock.monotonic_us();
        limiter.note_frame(now_us);
        window->take_woken();
        scene.refresh();
        const ui::Options options = scene.options();
        if (auto renewed = renew_fonts(options); !renewed) return renewed;
        const ui::Input input = window->take_input(now_us / 1000);
        ui::feed_imgui(input, static_cast<float>(now_us - frame_us) * 1e-6f);
        frame_us = now_us;
        window->begin_frame();
        ImGui::NewFrame();
        ui.begin(input, options);
        scene.draw(ui);
        if (ui.take_key(ui::Key::q, true)) is_over = true;
        ui.end();
        ImGui::Render();
        ground = ui::theme(options.theme).page;
        want_shown_letters();
        // A text that cannot be written now is tried again; it is no reason to close the window.
        if (screen_text) text_status = screen_text->write(ui.registry());
        return Done{};
    }

    void draw_picture() { window->draw(ImGui::GetDrawData(), ground); }

    /// Draws and shows it, unless the same is on screen already.
    void show() {
        const std::uint64_t print = print_of(*ImGui::GetDrawData()) + letters;
        if (print == shown_print && !must_draw) return;
        draw_picture();
        window->show();
        shown_print = print;
        must_draw = false;
    }

    bool wants_frame() const {
        return ui.wants_frame() || fonts.is_behind() || window->has_more_input() || fonts_percent == 0;
    }

    /// Waits for the next frame's time; false: the window was closed.
    bool wait() {
        for (;;) {
            if (window->take_had_input()) {
                limiter.note_input();
                must_draw = true;
            }
            if (window->is_woken()) limiter.note_news();
            if (is_over || window->wants_close()) return false;
            const std::int64_t us = limiter.wait_us(clock.monotonic_us(), wants_frame());
            window->wait(us);
            if (us == 0) return !window->wants_close();
        }
    }

    void remember_place() const {
        if (wish.place_file.empty() || window->is_hidden()) return;
        // A place that could not be kept is no reason to say anything.
        if (auto made = make_folder(wish.place_file.substr(0, wish.place_file.rfind('/'))); made)
            (void)save_file(wish.place_file, to_text(window->place()));
    }
};

Shell::Shell(std::unique_ptr<Inside> inside) : inside_(std::move(inside)) {}
Shell::~Shell() = default;

Result<std::unique_ptr<Shell>> Shell::open(const ShellWish& wish, const Clock& clock) {
    auto inside = std::make_unique<Inside>(wish, clock);
    ImGuiIO& io = ImGui::GetIO();
    io.IniFilename = nullptr;  // nothing of the window is written where it was started
    io.ConfigFlags = ImGuiConfigFlags_None;
    WindowWish window = wish.window;
    constexpr std::size_t k_place_bytes = 100;
    if (!wish.place_file.empty())
        if (const auto text = read_file(wish.place_file, k_place_bytes))
            if (const auto place = parse_place(*text)) {
                window.place = *place;
                window.has_place = true;
            }
    auto opened = Window::open(window);
    if (!opened) return opened.failure();
    inside->window = std::move(*opened);
    if (!wish.screen_text_file.empty()) inside->screen_text.emplace(wish.screen_text_file);
    return std::unique_ptr<Shell>(new Shell(std::move(inside)));
}

Status Shell::run(const Scene& scene) {
    Inside& in = *inside_;
    bool is_first = true;
    while (in.wait()) {
        if (in.window->is_hidden()) {
            in.limiter.note_frame(in.clock.monotonic_us());
            in.window->take_woken();
            scene.refresh();
            continue;
        }
        if (auto drawn = in.draw_frame(scene); !drawn) return drawn;
        in.show();
        if (is_first && in.wish.on_first_frame) in.wish.on_first_frame();
        is_first = false;
    }
    in.remember_place();
    return in.text_status;
}

Result<Picture> Shell::picture(const Scene& scene) {
    constexpr int k_most_frames = 60;
    constexpr int k_least_frames = 4;
    Inside& in = *inside_;
    for (int i = 0; i < k_most_frames && (i < k_least_frames || in.wants_frame()); ++i) {
        in.window->wait(0);
        if (i > 0) in.window->show();
        if (auto drawn = in.draw_frame(scene); !drawn) return drawn.failure();
        in.draw_picture();
    }
    return in.window->read_picture();
}

void Shell::wake() {
    inside_->window->wake();
}

int Shell::system_scale_percent() const {
    const long percent = std::lround(inside_->window->content_scale() * 100.0f);
    return static_cast<int>(std::clamp(percent, 100L, 300L));
}

}  // namespace fettle::app
