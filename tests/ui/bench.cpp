#include "tests/ui/bench.hpp"

#include <imgui.h>

#include "app/ui/fonts.hpp"
#include "app/ui/imgui_compat.hpp"

namespace fettle::app::test {

Bench::Bench(View view_, int scale_percent, ui::ThemeName theme, Language language)
    : view(std::move(view_)), context_(ImGui::CreateContext()) {
    ImGui::SetCurrentContext(context_);
    ImGui::GetIO().IniFilename = nullptr;
    options.scale_percent = scale_percent;
    options.theme = theme;
    options.language = language;
    load_letters();
    input.now_ms = 1000;
    ui.watch([this](const std::string& id) {
        worked.push_back(id);
        return !only_looks_;
    });
}

void Bench::load_letters() {
    if (options.scale_percent == loaded_percent_) return;
    loaded_percent_ = options.scale_percent;
    (void)ui::load_fonts(ui::k_text_px * static_cast<float>(loaded_percent_) / 100.0f, {});
    unsigned char* pixels = nullptr;
    int width = 0;
    int height = 0;
    ImGui::GetIO().Fonts->GetTexDataAsRGBA32(&pixels, &width, &height);
}

Bench::~Bench() {
    ImGui::DestroyContext(context_);
}

void Bench::frame() {
    ImGui::SetCurrentContext(context_);
    input.now_ms += 16;
    if (before_frame) before_frame();
    load_letters();
    ui::feed_imgui(input, 0.016f);
    ImGui::NewFrame();
    ui.begin(input, options);
    view(ui);
    ui.end();
    ImGui::Render();
    input.keys.clear();
    input.wheel = 0;
    ++frames;
}

void Bench::look_only(const std::function<void()>& what) {
    only_looks_ = true;
    what();
    only_looks_ = false;
}

void Bench::settle() {
    for (int i = 0; i < 3; ++i) frame();
    for (int i = 0; i < 20 && ui.wants_frame(); ++i) frame();
}

ui::KeyEvent key_event(ui::Key key, bool is_down) {
    ui::KeyEvent event;
    event.key = key;
    event.is_down = is_down;
    if (is_down && key == ui::Key::space) event.text = " ";
    return event;
}

void Bench::key_down(ui::Key key) {
    input.keys.push_back(key_event(key));
}

void Bench::key_up(ui::Key key) {
    input.keys.push_back(key_event(key, false));
}

void Bench::press(ui::Key key, bool shift, bool control) {
    ui::KeyEvent event = key_event(key);
    event.shift = shift;
    event.control = control;
    input.keys.push_back(event);
    key_up(key);
    settle();
}

void Bench::type(const std::string& ascii) {
    for (const char letter : ascii) {
        ui::KeyEvent event;
        event.key = ui::Key::other;
        event.text = std::string(1, letter);
        input.keys.push_back(event);
        event.is_down = false;
        event.text.clear();
        input.keys.push_back(event);
    }
    settle();
}

void Bench::click(const std::string& id) {
    const ui::Control* control = find(id);
    if (control == nullptr) return;
    input.pointer = control->rect.centre();
    frame();
    input.primary_down = true;
    frame();
    input.primary_down = false;
    settle();
}

bool Bench::tab_to(const std::string& id) {
    if (ui.registry().controls.empty()) settle();
    const std::size_t most = ui.registry().controls.size() + 1;
    for (std::size_t i = 0; i < most && ui.navigator().focus() != id; ++i) press(ui::Key::tab);
    return ui.navigator().focus() == id;
}

bool Bench::work(const std::string& id) {
    if (!tab_to(id)) return false;
    press(ui::Key::enter);
    return true;
}

bool Bench::scan_to(const std::string& id) {
    const auto is_marked = [&](bool alone) {
        int marked = 0;
        for (const ui::Control& control : ui.registry().controls) marked += control.is_scanned ? 1 : 0;
        const ui::Control* control = find(id);
        return control != nullptr && control->is_scanned && (!alone || marked == 1);
    };
    constexpr int k_most = 100'000 / 16;  // frames of 100 s
    bool was_item = false;
    for (int i = 0; i < k_most; ++i) {
        const ui::ScanState state = ui.scan().state;
        const bool starts = state == ui::ScanState::resting;
        const bool group = state == ui::ScanState::groups && is_marked(false);
        const bool item = state == ui::ScanState::items && is_marked(true);
        if (starts || group || item) {
            was_item = item || (group && is_marked(true));
            key_down(ui::Key::space);
            key_up(ui::Key::space);
            frame();
            frame();
            if (was_item) return true;
            continue;
        }
        frame();
    }
    return false;
}

}  // namespace fettle::app::test
