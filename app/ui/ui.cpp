// The frame: what is set, what is asked of it from outside, what stays lit.
#include "app/ui/ui.hpp"

#include <imgui.h>

#include <algorithm>

#include "app/ui/imgui_compat.hpp"
#include "app/ui/overlay.hpp"

namespace fettle::app::ui {

namespace {

constexpr float k_calls_em = 15;        // width of the call list, own choice
constexpr float k_calls_share = 0.36f;  // of the window, at most

void set_style(const Ui& ui) {
    ImGuiStyle& style = ImGui::GetStyle();
    style.WindowPadding = ImVec2(0, 0);
    style.WindowBorderSize = 0;
    style.ChildBorderSize = 0;
    style.ItemSpacing = ImVec2(ui.pad(), ui.pad());
    style.ScrollbarSize = 14 * ui.scale();
    ImGui::PushStyleColor(ImGuiCol_WindowBg, to_im(ui.theme().page));
    ImGui::PushStyleColor(ImGuiCol_ChildBg, to_im(ui.theme().panel));
    ImGui::PushStyleColor(ImGuiCol_Text, to_im(ui.theme().text));
    ImGui::PushStyleColor(ImGuiCol_ScrollbarBg, to_im(ui.theme().panel));
    ImGui::PushStyleColor(ImGuiCol_ScrollbarGrab, to_im(ui.theme().control_edge));
}

}  // namespace

Ui::Ui() = default;
Ui::~Ui() = default;

void Ui::begin(const Input& input, const Options& options) {
    const bool had_list = options_.shows_call_list;
    input_ = input;
    options_ = options;
    if (had_list != options_.shows_call_list) navigator_.forget_typed();
    if (!options_.scans) scan_ = {};
    keys_.insert(keys_.end(), input.keys.begin(), input.keys.end());
    input_.keys.clear();
    frame_keys_.clear();
    entered_keys_.clear();
    if (more_frames_ > 0) --more_frames_;
    read_scan_groups();
    // A press belongs to what was marked when it was made.
    take_keys();
    if (options_.scans) scan_event(ScanEvent::time);
    if (auto wish = navigator_.take_scroll()) scroll_ = wish;
    building_ = {};
    statics_ = 0;
    group_.clear();
    panel_.clear();
    overlay_room_.reset();
    const float em = ImGui::GetFontSize();
    const float list = options_.shows_call_list ? std::min(k_calls_em * em, k_calls_share * input.size.x) : 0;
    room_ = {0, 0, input.size.x - list, input.size.y};
    calls_room_ = {room_.w, 0, list, input.size.y};
    // The wheel is an entered canvas's own.
    if (const Control* control = shown_.find(entered_);
        control != nullptr && control->rect.contains(input.pointer))
        ImGui::GetIO().MouseWheel = 0;
    ImGui::SetNextWindowPos(ImVec2(0, 0));
    ImGui::SetNextWindowSize(ImVec2(input.size.x, input.size.y));
    set_style(*this);
    ImGui::Begin("window", nullptr,
                 ImGuiWindowFlags_NoDecoration | ImGuiWindowFlags_NoMove | ImGuiWindowFlags_NoSavedSettings |
                     ImGuiWindowFlags_NoNav | ImGuiWindowFlags_NoBringToFrontOnFocus |
                     ImGuiWindowFlags_NoScrollWithMouse);
}

void Ui::end() {
    const bool was_open = has_open_overlay();
    if (was_open) draw_overlay();
    number_controls();
    if (options_.shows_call_list) draw_call_list();
    ImGui::End();
    ImGui::PopStyleColor(5);
    shown_ = std::move(building_);
    building_ = {};
    if (!focus_panel_.empty()) {
        if (!has_open_overlay()) (void)navigator_.enter_panel(shown_, focus_panel_);
        scroll_ = Navigator::Scroll{focus_panel_, -1e6f};
        focus_panel_.clear();
    }
    follow_overlay();
    keys_wait_ = was_open && !has_open_overlay();
    if (!keys_wait_) navigator_.settle(shown_);
    for (Control& control : shown_.controls) control.is_focused = control.id == navigator_.focus();
    draw_ring();
    draw_called();
    draw_scan_mark();
    activated_.clear();
    tapped_.clear();
    scroll_to_.clear();
    if (!entered_.empty() && shown_.find(entered_) == nullptr) entered_.clear();
    if (!held_.empty() && shown_.find(held_) == nullptr) held_.clear();
}

bool Ui::wants_frame() const {
    if (!keys_.empty() || more_frames_ > 0 || navigator_.has_moved() || scroll_.has_value()) return true;
    return due_ms().has_value() || overlay_is_new();
}

std::optional<std::int64_t> Ui::due_ms() const {
    std::optional<std::int64_t> due = options_.scans ? scan_due_ms(scan_, scan_params()) : std::nullopt;
    if (options_.scans && !due && scan_params().starts_at_once && !scan_.has_begun) due = now_ms();
    for (const auto& [id, until] : lamps_)
        if (!due || until < *due) due = until;
    return due;
}

bool Ui::activate(std::string_view id) {
    const Control* control = shown_.find(std::string(id));
    if (control == nullptr || !control->is_enabled || !is_worked(control->role)) return false;
    navigator_.set_focus(control->id);
    activated_ = control->id;
    if (control->role == Role::hold) tapped_ = control->id;
    more_frames_ = 2;
    return true;
}

void Ui::focus(std::string_view id) {
    navigator_.set_focus(std::string(id));
}

bool Ui::has_open_overlay() const {
    return overlay_ != nullptr && !overlay_->is_over;
}

bool Ui::overlay_is_new() const {
    return overlay_ != nullptr && (overlay_->is_new || overlay_->is_over);
}

bool Ui::is_overlaid() const {
    return has_open_overlay() && !in_overlay_ && open_panel_.kind != PanelKind::always;
}

bool Ui::lamp(std::string_view id, bool is_on) {
    auto it = lamps_.find(id);
    if (is_on) {
        lamps_.insert_or_assign(std::string(id), now_ms() + std::max(350, options_.lit_ms));
        return true;
    }
    if (it == lamps_.end()) return false;
    if (it->second > now_ms()) return true;
    lamps_.erase(it);
    return false;
}

void Ui::number_controls() {
    int count = 0;
    for (const Control& control : building_.controls) count += is_worked(control.role) ? 1 : 0;
    // All with as many digits: none is the beginning of another, so none needs Enter. 0 is the list's own.
    int number = count <= 90 ? 10 : count <= 900 ? 100 : 1000;
    for (Control& control : building_.controls)
        if (options_.shows_call_list && is_worked(control.role)) control.number = number++;
}

void Ui::keep_what_is_always() {
    std::erase_if(building_.controls, [&](const Control& control) {
        const Panel* panel = building_.find_panel(control.panel);
        return panel == nullptr || !panel->is_always;
    });
    std::erase_if(building_.panels, [](const Panel& panel) { return !panel.is_always; });
}

}  // namespace fettle::app::ui
