// The controls: each is given its place, registered, drawn, in one go.
#include <imgui.h>

#include <algorithm>
#include <utility>

#include "app/ui/imgui_compat.hpp"
#include "app/ui/overlay.hpp"
#include "app/ui/ui.hpp"

namespace fettle::app::ui {

namespace {

const char* end_of(std::string_view text) {
    return text.data() + text.size();
}

}  // namespace

float Ui::fit(std::string_view text, float most) const {
    const float wide = text_size(text, -1).x + 2.5f * pad();
    return std::clamp(wide, target(), std::max(target(), most));
}

Ui::Placed Ui::place(std::string_view id, Role role, std::string_view label, std::string_view value,
                     float width, float height, bool is_enabled, bool is_on) {
    const std::string key(id);
    const bool is_live = is_enabled && !is_overlaid();
    flow(width);
    const bool clicked = ImGui::InvisibleButton(key.c_str(), ImVec2(width, height)) && is_live;
    const ImVec2 least = ImGui::GetItemRectMin();
    Placed placed;
    placed.rect = {least.x, least.y, width, height};
    placed.is_enabled = is_live;
    placed.is_pressed = ImGui::IsItemActive() && is_live;
    const bool is_in_view = ImGui::IsItemVisible();
    flowed();
    if (clicked) navigator_.set_focus(key);
    placed.is_focused = !is_overlaid() && navigator_.focus() == key;
    placed.was_activated = is_live && (clicked || activated_ == key);
    if (placed.was_activated && probe_) placed.was_activated = probe_(key);
    if ((placed.is_focused && navigator_.take_moved()) || (scroll_to_ == key && !is_overlaid())) {
        bring_into_view(placed.rect);
        more_frames_ = 2;
    }
    if (is_overlaid()) return placed;  // behind an overlay nothing can be reached
    Control control;
    control.id = key;
    control.role = role;
    control.label = label;
    control.value = value;
    control.is_enabled = is_enabled;
    control.is_on = is_on;
    control.is_focused = placed.is_focused;
    control.is_in_view = is_in_view;
    control.rect = placed.rect;
    control.group = group_;
    control.panel = panel_;
    building_.controls.push_back(std::move(control));
    return placed;
}

Ui::Face Ui::face(const Placed& placed, std::string_view shown, Look look, bool is_on) const {
    const Theme& t = theme();
    Face face{shown, t.control, t.control_edge, t.control_text, false};
    if (look == Look::strong) face.edge = t.text;  // never the ring's colour
    if (look == Look::danger) face.edge = t.bad;
    if (is_on || placed.is_pressed) {
        face.ground = t.chosen;
        face.text = t.chosen_text;
    }
    if (!placed.is_enabled) {
        face.ground = t.page;
        face.text = t.quiet;
    }
    return face;
}

void Ui::draw_face(const Placed& placed, const Face& face) {
    ImDrawList* draw = ImGui::GetWindowDrawList();
    const Rect& r = placed.rect;
    const float round = 5 * scale();
    draw->AddRectFilled(ImVec2(r.x, r.y), ImVec2(r.right(), r.bottom()), to_im(face.ground), round);
    draw->AddRect(ImVec2(r.x, r.y), ImVec2(r.right(), r.bottom()), to_im(face.edge), round, 0,
                  placed.is_enabled ? 2 * scale() : scale());
    // Not now: struck through at the side, not only dimmed.
    if (!placed.is_enabled)
        draw->AddLine(ImVec2(r.x, r.bottom()), ImVec2(r.x + r.h * 0.4f, r.y), to_im(face.edge), scale());
    const float wrap = r.w - 2 * pad() - face.right_px;
    const Point size = text_size(face.shown, wrap);
    const float x = face.is_centred ? r.x + (r.w - size.x) / 2 : r.x + pad();
    draw->AddText(nullptr, 0, ImVec2(x, r.y + (r.h - size.y) / 2), to_im(face.text), face.shown.data(),
                  end_of(face.shown), wrap);
}

void Ui::draw_check(const Placed& placed, const Face& face, bool is_round, bool is_on) {
    ImDrawList* draw = ImGui::GetWindowDrawList();
    const float em = ImGui::GetFontSize();
    const ImVec2 centre(placed.rect.x + pad() + em / 2, placed.rect.y + placed.rect.h / 2);
    const float r = em * 0.42f;
    const ImU32 color = to_im(face.text);
    if (is_round) {
        draw->AddCircle(centre, r, color, 0, 2 * scale());
        if (is_on) draw->AddCircleFilled(centre, r * 0.55f, color);
        return;
    }
    draw->AddRect(ImVec2(centre.x - r, centre.y - r), ImVec2(centre.x + r, centre.y + r), color, 2, 0,
                  2 * scale());
    if (!is_on) return;
    draw->AddLine(ImVec2(centre.x - r * 0.6f, centre.y), ImVec2(centre.x - r * 0.1f, centre.y + r * 0.55f),
                  color, 2.5f * scale());
    draw->AddLine(ImVec2(centre.x - r * 0.1f, centre.y + r * 0.55f),
                  ImVec2(centre.x + r * 0.7f, centre.y - r * 0.6f), color, 2.5f * scale());
}

std::string Ui::shortened(std::string_view text, float most) const {
    if (text_size(text, -1).x <= most) return std::string(text);
    const std::string end = "\u2026";
    const float room = most - text_size(end, -1).x;
    std::size_t keep = text.size();
    while (keep > 0) {
        --keep;
        while (keep > 0 && (static_cast<unsigned char>(text[keep]) & 0xC0u) == 0x80u) --keep;
        if (text_size(text.substr(0, keep), -1).x <= room) break;
    }
    return std::string(text.substr(0, keep)) + end;
}

float Ui::high(std::string_view text, float wide) const {
    return std::max(target(), text_size(text, wide).y + 2 * pad());
}

bool Ui::button(std::string_view id, std::string_view label, Look look, bool is_enabled) {
    const float wide = fit(label, width());
    const Placed placed = place(id, Role::button, label, "", wide, high(label, wide - 2 * pad()), is_enabled);
    Face drawn = face(placed, label, look, false);
    drawn.is_centred = true;
    draw_face(placed, drawn);
    return placed.was_activated;
}

bool Ui::sign_button(std::string_view id, std::string_view label, std::string_view shown, float width_px,
                     bool is_enabled) {
    const float wide = width_px > 0 ? width_px : fit(shown, width());
    const Placed placed = place(id, Role::button, label, "", wide, target(), is_enabled);
    draw_face(placed, face(placed, "", Look::plain, false));
    const std::string cut = shortened(shown, wide - 2 * pad());
    const Point size = text_size(cut, -1);
    const float x = width_px > 0 ? pad() : (wide - size.x) / 2;
    ImGui::GetWindowDrawList()->AddText(
        ImVec2(placed.rect.x + x, placed.rect.y + (placed.rect.h - size.y) / 2),
        to_im(face(placed, "", Look::plain, false).text), cut.c_str());
    return placed.was_activated;
}

void Ui::check_button_text(const Placed& placed, const Face& face, std::string_view label) {
    const float mark = ImGui::GetFontSize() + pad();
    const float wrap = placed.rect.w - mark - 2 * pad();
    const Point size = text_size(label, wrap);
    const Rect& r = placed.rect;
    const ImVec4 clip(r.x, r.y + pad() / 2, r.right(), r.bottom() - pad() / 2);
    ImGui::GetWindowDrawList()->AddText(nullptr, 0,
                                        ImVec2(r.x + pad() + mark, r.y + std::max(pad(), (r.h - size.y) / 2)),
                                        to_im(face.text), label.data(), end_of(label), wrap, &clip);
}

bool Ui::toggle(std::string_view id, std::string_view label, bool is_on, bool is_enabled) {
    const float mark = ImGui::GetFontSize() + pad();
    const float wide = std::min(fit(label, width()) + mark, std::max(target(), width()));
    const Placed placed = place(id, Role::toggle, label, t(is_on ? T::control_on : T::control_off), wide,
                                high(label, wide - mark - 2 * pad()), is_enabled, is_on);
    const Face drawn = face(placed, "", Look::plain, false);
    draw_face(placed, drawn);
    draw_check(placed, drawn, false, is_on);
    check_button_text(placed, drawn, label);
    return placed.was_activated;
}

bool Ui::option(std::string_view id, std::string_view label, bool is_chosen, bool is_enabled) {
    const float mark = ImGui::GetFontSize() + pad();
    const float wide = std::min(fit(label, width()) + mark, std::max(target(), width()));
    const Placed placed = place(id, Role::option, label, is_chosen ? t(T::control_chosen) : "", wide,
                                high(label, wide - mark - 2 * pad()), is_enabled, is_chosen);
    const Face drawn = face(placed, "", Look::plain, is_chosen);
    draw_face(placed, drawn);
    draw_check(placed, drawn, true, is_chosen);
    check_button_text(placed, drawn, label);
    return placed.was_activated;
}

float Ui::high_of_lines(int lines) const {
    return std::max(target(), static_cast<float>(lines) * line_height() + 2 * pad());
}

bool Ui::option_of_lines(std::string_view id, std::string_view label, int lines, bool is_chosen) {
    const Placed placed = place(id, Role::option, label, is_chosen ? t(T::control_chosen) : "", width(),
                                high_of_lines(lines), true, is_chosen);
    const Face drawn = face(placed, "", Look::plain, is_chosen);
    draw_face(placed, drawn);
    draw_check(placed, drawn, true, is_chosen);
    check_button_text(placed, drawn, label);
    return placed.was_activated;
}

void Ui::room_of_option(int lines) {
    ImGui::Dummy(ImVec2(width(), high_of_lines(lines)));
}

Held Ui::hold(std::string_view id, std::string_view label, bool is_lit) {
    const float wide = fit(label, width());
    const Placed placed = place(id, Role::hold, label, "", wide, high(label, wide - 2 * pad()), true, is_lit);
    Face drawn = face(placed, label, Look::plain, is_lit);
    drawn.is_centred = true;
    draw_face(placed, drawn);
    const bool by_key = held_ == id && placed.is_enabled;
    Held held;
    held.is_down = by_key || placed.is_pressed;
    held.was_tapped = !held.is_down && tapped_ == id && placed.was_activated;
    return held;
}

void Ui::labelled(std::string_view label, float width, const std::function<void()>& body) {
    flow(width);
    ImGui::BeginGroup();
    const bool was_in_row = std::exchange(in_row_, false);
    ImGui::PushTextWrapPos(ImGui::GetCursorPosX() + width);
    ImGui::TextUnformatted(label.data(), end_of(label));
    ImGui::PopTextWrapPos();
    body();
    in_row_ = was_in_row;
    ImGui::EndGroup();
    flowed();
}

bool Ui::cell(std::string_view id, std::string_view label, std::string_view shown, const CellState& state,
              float width_px) {
    const float high = std::max(target(), text_size(shown, width_px - 3 * pad()).y + 2 * pad());
    const Placed placed = place(id, Role::cell, label, shown, width_px, high, true, state.is_lit);
    Face drawn = face(placed, shown, Look::plain, state.is_lit);
    if (state.is_empty && !state.is_lit) drawn.ground = theme().page;
    draw_face(placed, drawn);
    if (state.mark == NoteKind::warning || state.mark == NoteKind::problem) {
        const float s = pad();
        const ImVec2 c(placed.rect.right() - 1.2f * s, placed.rect.y + 1.2f * s);
        ImDrawList* draw = ImGui::GetWindowDrawList();
        if (state.mark == NoteKind::warning)
            draw->AddTriangleFilled(ImVec2(c.x, c.y - s * 0.7f), ImVec2(c.x - s * 0.7f, c.y + s * 0.7f),
                                    ImVec2(c.x + s * 0.7f, c.y + s * 0.7f),
                                    to_im(state.is_lit ? theme().chosen_text : theme().warn));
        else
            draw->AddRectFilled(ImVec2(c.x - s * 0.7f, c.y - s * 0.7f),
                                ImVec2(c.x + s * 0.7f, c.y + s * 0.7f),
                                to_im(state.is_lit ? theme().chosen_text : theme().bad));
    }
    return placed.was_activated;
}

}  // namespace fettle::app::ui
