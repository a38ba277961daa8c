// The frame: keys in, focus and activation, what is drawn over everything.
#include "app/ui/ui.hpp"

#include <imgui.h>

#include "app/ui/imgui_compat.hpp"
#include "app/ui/overlay.hpp"

namespace fettle::app::ui {

Ui::Ui() = default;
Ui::~Ui() = default;

void Ui::begin(const Input& input, const Options& options) {
    const bool is_new_start = input_.now_ms == 0;
    input_ = input;
    options_ = options;
    if (is_new_start) navigator_.forget_typed();
    keys_.insert(keys_.end(), input.keys.begin(), input.keys.end());
    input_.keys.clear();
    frame_keys_.clear();
    entered_keys_.clear();
    take_keys();
    building_ = {};
    statics_ = 0;
    group_.clear();
    panel_.clear();
    ImGui::SetNextWindowPos(ImVec2(0, 0));
    ImGui::SetNextWindowSize(ImVec2(input.size.x, input.size.y));
    ImGuiStyle& style = ImGui::GetStyle();
    style.WindowPadding = ImVec2(0, 0);
    style.WindowBorderSize = 0;
    style.ChildBorderSize = 0;
    style.ItemSpacing = ImVec2(pad(), pad());
    style.ScrollbarSize = 14 * scale();
    ImGui::PushStyleColor(ImGuiCol_WindowBg, to_im(theme().page));
    ImGui::PushStyleColor(ImGuiCol_ChildBg, to_im(theme().panel));
    ImGui::PushStyleColor(ImGuiCol_Text, to_im(theme().text));
    ImGui::PushStyleColor(ImGuiCol_ScrollbarBg, to_im(theme().panel));
    ImGui::PushStyleColor(ImGuiCol_ScrollbarGrab, to_im(theme().control_edge));
    ImGui::Begin("window", nullptr,
                 ImGuiWindowFlags_NoDecoration | ImGuiWindowFlags_NoMove | ImGuiWindowFlags_NoSavedSettings |
                     ImGuiWindowFlags_NoNav | ImGuiWindowFlags_NoBringToFrontOnFocus |
                     ImGuiWindowFlags_NoScrollWithMouse);
}

void Ui::end() {
    if (overlay_) draw_overlay();
    ImGui::End();
    ImGui::PopStyleColor(5);
    number_controls();
    shown_ = std::move(building_);
    building_ = {};
    draw_ring();
    activated_.clear();
    tapped_.clear();
    if (!entered_.empty() && shown_.find(entered_) == nullptr) entered_.clear();
    if (!held_.empty() && shown_.find(held_) == nullptr) held_.clear();
    navigator_.settle(shown_);
}

bool Ui::wants_frame() const {
    if (!keys_.empty()) return true;
    for (const auto& [id, until] : lamps_)
        if (until > now_ms()) return true;
    return false;
}

void Ui::take_keys() {
    while (!keys_.empty()) {
        const KeyEvent key = keys_.front();
        keys_.pop_front();
        if (take_one(key)) return;
    }
}

bool Ui::take_one(const KeyEvent& key) {
    if (!key.is_down) {
        if (!held_.empty() && (key.key == Key::space || key.key == Key::enter)) {
            held_.clear();
            return true;
        }
        if (!entered_.empty()) entered_keys_.push_back(key);
        return false;
    }
    if (overlay_ && overlay_->take_key(key)) return true;
    if (!entered_.empty()) {
        const Control* control = shown_.find(entered_);
        const bool is_plot = control != nullptr && control->role == Role::plot;
        if (is_plot && (key.key == Key::escape || key.key == Key::enter || key.key == Key::space)) {
            entered_.clear();
            return true;
        }
        if (!is_plot || key.key != Key::tab) {
            entered_keys_.push_back(key);
            return !is_plot;
        }
        entered_.clear();
    }
    return take_navigation(key);
}

bool Ui::take_navigation(const KeyEvent& key) {
    if (key.control || key.alt) {
        frame_keys_.push_back(key);
        return false;
    }
    if (options_.shows_call_list && key.text.size() == 1 && key.text[0] >= '0' && key.text[0] <= '9') {
        if (auto id = navigator_.digit(shown_, key.text[0] - '0')) return activate(*id);
        return false;
    }
    switch (key.key) {
        case Key::tab: navigator_.step(shown_, key.shift); return false;
        case Key::left: navigator_.move(shown_, Way::left); return false;
        case Key::right: navigator_.move(shown_, Way::right); return false;
        case Key::up: navigator_.move(shown_, Way::up); return false;
        case Key::down: navigator_.move(shown_, Way::down); return false;
        case Key::enter:
            if (auto id = navigator_.finish_number(shown_)) return activate(*id);
            return select();
        case Key::space: return select();
        default: frame_keys_.push_back(key); return false;
    }
}

bool Ui::select() {
    const Control* control = shown_.find(navigator_.focus());
    if (control == nullptr || !control->is_enabled) return false;
    if (control->role == Role::hold) {
        held_ = control->id;
        return true;
    }
    return activate(control->id);
}

bool Ui::activate(std::string_view id) {
    const Control* control = shown_.find(std::string(id));
    if (control == nullptr || !control->is_enabled || !is_worked(control->role)) return false;
    navigator_.set_focus(control->id);
    activated_ = control->id;
    if (control->role == Role::hold) tapped_ = control->id;
    return true;
}

void Ui::focus(std::string_view id) {
    navigator_.set_focus(std::string(id));
}

bool Ui::take_key(Key key, bool control) {
    if (overlay_) return false;
    for (auto it = frame_keys_.begin(); it != frame_keys_.end(); ++it)
        if (it->key == key && it->control == control) {
            frame_keys_.erase(it);
            return true;
        }
    return false;
}

bool Ui::lamp(std::string_view id, bool is_on) {
    auto it = lamps_.find(id);
    if (is_on) {
        lamps_.insert_or_assign(std::string(id), now_ms() + options_.lit_ms);
        return true;
    }
    if (it == lamps_.end()) return false;
    if (it->second > now_ms()) return true;
    lamps_.erase(it);
    return false;
}

void Ui::number_controls() {
    int number = 0;
    for (Control& control : building_.controls)
        if (options_.shows_call_list && is_worked(control.role) && control.is_enabled)
            control.number = ++number;
}

void Ui::draw_ring() {
    const Control* control = shown_.find(navigator_.focus());
    if (control == nullptr) return;
    const float thick = 3 * scale();
    const Rect& r = control->rect;
    ImDrawList* draw = ImGui::GetForegroundDrawList();
    draw->AddRect(ImVec2(r.x - thick, r.y - thick), ImVec2(r.right() + thick, r.bottom() + thick),
                  to_im(theme().page), 6 * scale(), 0, thick * 2.2f);
    draw->AddRect(ImVec2(r.x - thick, r.y - thick), ImVec2(r.right() + thick, r.bottom() + thick),
                  to_im(theme().focus), 6 * scale(), 0, thick);
}

}  // namespace fettle::app::ui
