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
    placed.is_focused = is_live && navigator_.focus() == key;
    placed.was_activated = is_live && (clicked || activated_ == key);
    if (placed.is_focused && navigator_.take_moved()) {
        // All of it must be seen, not only a part.
        const float top = ImGui::GetWindowPos().y;
        const float bottom = top + ImGui::GetWindowHeight();
        if (least.y < top || least.y + height > bottom) ImGui::SetScrollHereY(least.y < top ? 0.1f : 0.9f);
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
    if (look == Look::strong) face.edge = t.focus;
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
    const float wrap = r.w - 2 * pad();
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

bool Ui::button(std::string_view id, std::string_view label, Look look, bool is_enabled) {
    const float wide = fit(label, width());
    const float high = std::max(target(), text_size(label, wide - 2 * pad()).y + 2 * pad());
    const Placed placed = place(id, Role::button, label, "", wide, high, is_enabled);
    Face drawn = face(placed, label, look, false);
    drawn.is_centred = true;
    draw_face(placed, drawn);
    return placed.was_activated;
}

bool Ui::toggle(std::string_view id, std::string_view label, bool is_on, bool is_enabled) {
    const float mark = ImGui::GetFontSize() + pad();
    const float wide = std::min(fit(label, width()) + mark, std::max(target(), width()));
    const float high = std::max(target(), text_size(label, wide - mark - 2 * pad()).y + 2 * pad());
    const Placed placed = place(id, Role::toggle, label, t(is_on ? T::control_on : T::control_off), wide,
                                high, is_enabled, is_on);
    Face drawn = face(placed, "", Look::plain, false);
    draw_face(placed, drawn);
    draw_check(placed, drawn, false, is_on);
    const Point size = text_size(label, wide - mark - 2 * pad());
    ImGui::GetWindowDrawList()->AddText(
        nullptr, 0, ImVec2(placed.rect.x + pad() + mark, placed.rect.y + (high - size.y) / 2),
        to_im(drawn.text), label.data(), end_of(label), wide - mark - 2 * pad());
    return placed.was_activated;
}

bool Ui::option(std::string_view id, std::string_view label, bool is_chosen, bool is_enabled) {
    const float mark = ImGui::GetFontSize() + pad();
    const float wide = std::min(fit(label, width()) + mark, std::max(target(), width()));
    const float high = std::max(target(), text_size(label, wide - mark - 2 * pad()).y + 2 * pad());
    const Placed placed = place(id, Role::option, label, is_chosen ? t(T::control_chosen) : "", wide, high,
                                is_enabled, is_chosen);
    Face drawn = face(placed, "", Look::plain, is_chosen);
    draw_face(placed, drawn);
    draw_check(placed, drawn, true, is_chosen);
    const Point size = text_size(label, wide - mark - 2 * pad());
    ImGui::GetWindowDrawList()->AddText(
        nullptr, 0, ImVec2(placed.rect.x + pad() + mark, placed.rect.y + (high - size.y) / 2),
        to_im(drawn.text), label.data(), end_of(label), wide - mark - 2 * pad());
    return placed.was_activated;
}

Held Ui::hold(std::string_view id, std::string_view label, bool is_lit) {
    const float wide = fit(label, width());
    const Placed placed = place(id, Role::hold, label, "", wide, target(), true, is_lit);
    Face drawn = face(placed, label, Look::plain, is_lit);
    drawn.is_centred = true;
    draw_face(placed, drawn);
    const bool by_key = held_ == id;
    Held held;
    held.is_down = by_key || placed.is_pressed;
    held.was_tapped = !held.is_down && tapped_ == id && !is_overlaid();
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

std::optional<int> Ui::choice(std::string_view id, std::string_view label,
                              std::span<const std::string> options, int chosen, bool is_enabled) {
    const bool is_any = chosen >= 0 && static_cast<std::size_t>(chosen) < options.size();
    const std::string shown = is_any ? options[static_cast<std::size_t>(chosen)] : "";
    float wide = text_size(label, -1).x;
    for (const std::string& one : options) wide = std::max(wide, text_size(one, -1).x + 4 * pad());
    wide = std::clamp(wide + 2 * pad(), target(), std::max(target(), width()));
    bool was_activated = false;
    labelled(label, wide, [&] {
        const float high = std::max(target(), text_size(shown, wide - 6 * pad()).y + 2 * pad());
        const Placed placed = place(id, Role::choice, label, shown, wide, high, is_enabled);
        draw_face(placed, face(placed, shown, Look::plain, false));
        const Rect& r = placed.rect;
        const float s = pad() * 0.7f;
        const ImVec2 c(r.right() - 2 * pad(), r.y + r.h / 2);
        ImGui::GetWindowDrawList()->AddTriangleFilled(
            ImVec2(c.x - s, c.y - s * 0.6f), ImVec2(c.x + s, c.y - s * 0.6f), ImVec2(c.x, c.y + s * 0.8f),
            to_im(theme().control_text));
        was_activated = placed.was_activated;
    });
    if (was_activated) overlay_ = Overlay::list(*this, id, label, options, chosen);
    if (auto done = Overlay::take_answer(overlay_, id)) return done->index;
    return std::nullopt;
}

namespace {

std::string number_words(const Ui& ui, std::int64_t value, const NumberRange& range) {
    if (range.zero_is_off && value == 0) return ui.t(T::control_off);
    return std::to_string(value) + (range.unit.empty() ? "" : " " + range.unit);
}

/// About a twentieth of the value, as 1, 2 or 5 times a power of ten, never finer than the range's own step.
std::int64_t nudge(std::int64_t value, const NumberRange& range) {
    const std::int64_t about = std::max<std::int64_t>(std::abs(value) / 20, 1);
    std::int64_t power = 1;
    while (power * 10 <= about) power *= 10;
    const std::int64_t nice = about >= 5 * power ? 5 * power : about >= 2 * power ? 2 * power : power;
    const std::int64_t step = std::max<std::int64_t>(range.step, 1);
    return std::max(step, nice / step * step);
}

std::int64_t stepped(std::int64_t value, const NumberRange& range, bool is_more) {
    const std::int64_t by = nudge(value, range);
    std::int64_t next = is_more ? value + by : value - by;
    if (range.zero_is_off && !is_more && next < range.least) return 0;
    return std::clamp(next, range.least, range.most);
}

}  // namespace

std::optional<std::int64_t> Ui::number(std::string_view id, std::string_view label, std::int64_t value,
                                       const NumberRange& range, bool is_enabled) {
    const std::string key(id), words(label);
    const std::string shown = number_words(*this, value, range);
    const float inner = std::max({fit(number_words(*this, range.most, range), 1e6f),
                                  fit(number_words(*this, range.least, range), 1e6f), fit(shown, 1e6f)});
    const float side = std::max(fit(t(T::control_less), 1e6f), fit(t(T::control_more), 1e6f));
    const float spacing = ImGui::GetStyle().ItemSpacing.x;
    const float whole = inner + 2 * side + 2 * spacing;
    std::optional<std::int64_t> answer;
    labelled(label, std::min(whole, width()), [&] {
        row();
        const auto part = [&](const std::string& part_id, const std::string& said, const char* drawn,
                              bool can) {
            const Placed placed = place(part_id, Role::button, said, "", side, target(), is_enabled && can);
            Face look = face(placed, drawn, Look::plain, false);
            look.is_centred = true;
            draw_face(placed, look);
            return placed.was_activated;
        };
        const bool can_less = value > range.least || (range.zero_is_off && value != 0);
        if (part(key + ".less", words + ": " + t(T::control_less), t(T::control_less), can_less))
            answer = stepped(value, range, false);
        const Placed placed = place(id, Role::number, label, shown, inner, target(), is_enabled);
        Face look = face(placed, shown, Look::plain, false);
        look.is_centred = true;
        draw_face(placed, look);
        if (part(key + ".more", words + ": " + t(T::control_more), t(T::control_more), value < range.most))
            answer = stepped(value, range, true);
        end_row();
        if (placed.was_activated) overlay_ = Overlay::digits(*this, id, label, value, range);
    });
    if (auto done = Overlay::take_answer(overlay_, id)) return done->number;
    return answer;
}

std::optional<std::string> Ui::text_field(std::string_view id, std::string_view label, std::string_view value,
                                          int most_characters, bool is_enabled) {
    const float wide =
        std::min(width(), std::max({text_size(label, -1).x, fit(value, 1e6f), 14 * ImGui::GetFontSize()}));
    bool was_activated = false;
    labelled(label, wide, [&] {
        const float high = std::max(target(), text_size(value, wide - 2 * pad()).y + 2 * pad());
        const Placed placed = place(id, Role::text_field, label, value, wide, high, is_enabled);
        Face drawn = face(placed, value, Look::plain, false);
        drawn.ground = theme().plot;
        drawn.text = theme().text;
        draw_face(placed, drawn);
        was_activated = placed.was_activated;
    });
    if (was_activated) overlay_ = Overlay::letters(*this, id, label, value, most_characters);
    if (auto done = Overlay::take_answer(overlay_, id)) return done->text;
    return std::nullopt;
}

std::optional<KeyEvent> Ui::key_catcher(std::string_view id, std::string_view label) {
    const float wide = fit(label, width());
    const bool is_entered = entered_ == id;
    const Placed placed = place(id, Role::button, label, "", wide, target(), true, is_entered);
    Face drawn = face(placed, label, Look::plain, is_entered);
    drawn.is_centred = true;
    draw_face(placed, drawn);
    if (is_entered && !entered_keys_.empty()) {
        const KeyEvent caught = entered_keys_.front();
        if (caught.is_down) {
            entered_.clear();
            return caught;
        }
    }
    if (placed.was_activated) entered_ = id;
    return std::nullopt;
}

bool Ui::asking_button(std::string_view id, std::string_view label, std::span<const std::string> question,
                       std::string_view yes, Look look, bool is_enabled) {
    if (button(id, label, look, is_enabled)) overlay_ = Overlay::ask(*this, id, label, question, yes);
    const auto done = Overlay::take_answer(overlay_, id);
    return done && done->index == 1;
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

Canvas Ui::canvas(std::string_view id, std::string_view label, std::string_view description,
                  float height_px) {
    const float wide = width();
    const float high = std::max(target(), height_px * std::min(scale(), 2.0f));
    const bool was_entered = entered_ == id;
    const Placed placed = place(id, Role::plot, label, description, wide, high, true, was_entered);
    ImDrawList* draw = ImGui::GetWindowDrawList();
    const Rect& r = placed.rect;
    draw->AddRectFilled(ImVec2(r.x, r.y), ImVec2(r.right(), r.bottom()), to_im(theme().plot));
    draw->AddRect(ImVec2(r.x, r.y), ImVec2(r.right(), r.bottom()), to_im(theme().control_edge), 0, 0,
                  (was_entered ? 3 : 1) * scale());
    Canvas canvas;
    canvas.rect = r;
    canvas.draw = draw;
    canvas.is_focused = placed.is_focused;
    const bool by_pointer = placed.is_enabled && r.contains(input_.pointer);
    if (activated_ == id && !is_overlaid()) {
        entered_ = id;
        canvas.was_activated = true;
    }
    canvas.is_entered = entered_ == id;
    if (was_entered) canvas.keys = entered_keys_;
    if (by_pointer) canvas.pointer = input_.pointer;
    canvas.pointer_down = placed.is_pressed;
    canvas.wheel = by_pointer ? input_.wheel : 0;
    return canvas;
}

}  // namespace fettle::app::ui
