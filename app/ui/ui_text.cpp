// What is only read.
#include <imgui.h>

#include <algorithm>

#include "app/ui/imgui_compat.hpp"
#include "app/ui/ui.hpp"

namespace fettle::app::ui {

namespace {

const char* end_of(std::string_view text) {
    return text.data() + text.size();
}

Rect last_item() {
    const ImVec2 least = ImGui::GetItemRectMin();
    const ImVec2 most = ImGui::GetItemRectMax();
    return {least.x, least.y, most.x - least.x, most.y - least.y};
}

void wrapped(std::string_view text, Color color) {
    ImGui::PushTextWrapPos(0);
    ImGui::PushStyleColor(ImGuiCol_Text, to_im(color));
    ImGui::TextUnformatted(text.data(), end_of(text));
    ImGui::PopStyleColor();
    ImGui::PopTextWrapPos();
}

}  // namespace

Point Ui::text_size(std::string_view text, float wrap) const {
    const ImVec2 size = ImGui::CalcTextSize(text.data(), end_of(text), false, wrap);
    return {size.x, size.y};
}

void Ui::add_static(std::string_view id, Role role, std::string_view label, std::string_view value,
                    Rect rect) {
    if (is_overlaid()) {
        ++statics_;
        return;
    }
    Control control;
    control.id = id.empty() ? "text." + std::to_string(statics_++) : std::string(id);
    control.role = role;
    control.label = label;
    control.value = value;
    control.rect = rect;
    control.group = group_;
    control.panel = panel_;
    control.is_in_view = ImGui::IsRectVisible(ImVec2(rect.x, rect.y), ImVec2(rect.right(), rect.bottom()));
    building_.controls.push_back(std::move(control));
}

void Ui::heading(std::string_view text) {
    ImGui::Dummy(ImVec2(0, pad() / 2));
    wrapped(text, theme().text);
    const Rect rect = last_item();
    ImGui::GetWindowDrawList()->AddLine(ImVec2(rect.x, rect.bottom() + 2),
                                        ImVec2(rect.right(), rect.bottom() + 2), to_im(theme().control_edge),
                                        2 * scale());
    ImGui::Dummy(ImVec2(0, 2));
    add_static("", Role::heading, text, "", rect);
}

void Ui::title(std::string_view text) {
    const std::string cut = shortened(text, width());
    ImGui::TextUnformatted(cut.data(), end_of(cut));
    add_static("", Role::heading, text, "", last_item());
}

void Ui::text(std::string_view text) {
    wrapped(text, theme().text);
    add_static("", Role::text, text, "", last_item());
}

void Ui::quiet(std::string_view text) {
    wrapped(text, theme().quiet);
    add_static("", Role::text, text, "", last_item());
}

void Ui::live(std::string_view id, int lines, std::string_view text) {
    const float height = static_cast<float>(lines) * ImGui::GetTextLineHeightWithSpacing();
    const ImVec2 from = ImGui::GetCursorScreenPos();
    const float wide = width();
    const ImVec4 clip(from.x, from.y, from.x + wide, from.y + height);
    ImGui::GetWindowDrawList()->AddText(nullptr, 0, from, to_im(theme().text), text.data(), end_of(text),
                                        wide, &clip);
    ImGui::Dummy(ImVec2(wide, height));
    add_static(id, Role::text, text, "", {from.x, from.y, wide, height});
}

void Ui::fact(std::string_view id, std::string_view label, std::string_view value) {
    const float em = ImGui::GetFontSize();
    const ImVec2 from = ImGui::GetCursorScreenPos();
    ImDrawList* draw = ImGui::GetWindowDrawList();
    const float wide = width();
    // One above the other where there is no room for two columns.
    const bool is_stacked = wide < 18 * em;
    const float column = is_stacked ? 0 : std::min(wide * 0.5f, 15 * em);
    const float label_wide = is_stacked ? wide : column - pad();
    const Point label_size = text_size(label, label_wide);
    const Point value_size = text_size(value, wide - column);
    const float down = is_stacked ? label_size.y : 0;
    draw->AddText(nullptr, 0, from, to_im(theme().quiet), label.data(), end_of(label), label_wide);
    draw->AddText(nullptr, 0, ImVec2(from.x + column, from.y + down), to_im(theme().text), value.data(),
                  end_of(value), wide - column);
    const float height = std::max({label_size.y, down + value_size.y, ImGui::GetTextLineHeight()});
    ImGui::Dummy(ImVec2(wide, height));
    add_static(id, Role::fact, label, value, {from.x, from.y, wide, height});
}

Color Ui::color_of(NoteKind kind) const {
    switch (kind) {
        case NoteKind::hint: return theme().quiet;
        case NoteKind::good: return theme().good;
        case NoteKind::warning: return theme().warn;
        case NoteKind::problem: return theme().bad;
    }
    return theme().text;
}

namespace {

/// A shape of its own each: nothing is told by colour alone.
void draw_shape(ImDrawList* draw, NoteKind kind, ImVec2 centre, float r, ImU32 color) {
    switch (kind) {
        case NoteKind::hint:
            draw->AddRectFilled(ImVec2(centre.x - r * 0.3f, centre.y - r),
                                ImVec2(centre.x + r * 0.3f, centre.y + r), color);
            break;
        case NoteKind::good: draw->AddCircleFilled(centre, r, color); break;
        case NoteKind::warning:
            draw->AddTriangleFilled(ImVec2(centre.x, centre.y - r), ImVec2(centre.x - r, centre.y + r),
                                    ImVec2(centre.x + r, centre.y + r), color);
            break;
        case NoteKind::problem:
            draw->AddRectFilled(ImVec2(centre.x - r, centre.y - r), ImVec2(centre.x + r, centre.y + r),
                                color);
            break;
    }
}

}  // namespace

void Ui::note(NoteKind kind, std::string_view text) {
    const Color color = color_of(kind);
    const float em = ImGui::GetFontSize();
    const ImVec2 from = ImGui::GetCursorScreenPos();
    const float wide = width();
    const Point size = text_size(text, wide - 1.6f * em);
    ImDrawList* draw = ImGui::GetWindowDrawList();
    draw_shape(draw, kind, ImVec2(from.x + em * 0.6f, from.y + em * 0.5f), em * 0.42f, to_im(color));
    draw->AddText(nullptr, 0, ImVec2(from.x + 1.6f * em, from.y), to_im(color), text.data(), end_of(text),
                  wide - 1.6f * em);
    const float height = std::max(size.y, ImGui::GetTextLineHeight());
    ImGui::Dummy(ImVec2(wide, height));
    add_static("", Role::note, text, "", {from.x, from.y, wide, height});
}

void Ui::large(std::string_view id, std::string_view text) {
    const auto& fonts = ImGui::GetIO().Fonts->Fonts;
    ImFont* font = fonts.Size > 1 ? fonts[1] : ImGui::GetFont();
    const float wide = width();
    const ImVec2 whole = font->CalcTextSizeA(font->FontSize, 1e6f, -1, text.data(), end_of(text));
    // As large as it can be on one line.
    const float px = whole.x > wide ? font->FontSize * wide / whole.x : font->FontSize;
    const ImVec2 from = ImGui::GetCursorScreenPos();
    ImGui::GetWindowDrawList()->AddText(font, px, from, to_im(theme().text), text.data(), end_of(text));
    ImGui::Dummy(ImVec2(std::min(whole.x, wide), font->FontSize));
    add_static(id, Role::text, text, "", last_item());
}

float Ui::chip_width(std::string_view text) const {
    return text_size(text, -1).x + 1.6f * ImGui::GetFontSize() + 2 * pad();
}

void Ui::chip(std::string_view id, NoteKind kind, std::string_view text, Rect place) {
    const float em = ImGui::GetFontSize();
    ImDrawList* draw = ImGui::GetWindowDrawList();
    ImGui::SetCursorScreenPos(ImVec2(place.x, place.y));
    ImGui::Dummy(ImVec2(place.w, place.h));
    const float y = place.y + (place.h - em) / 2;
    draw_shape(draw, kind, ImVec2(place.x + em * 0.6f, y + em * 0.5f), em * 0.42f, to_im(color_of(kind)));
    const std::string cut = shortened(text, place.w - 1.6f * em);
    draw->AddText(ImVec2(place.x + 1.4f * em, y), to_im(theme().text), cut.c_str());
    add_static(id, Role::text, text, "", place);
}

ImDrawList* Ui::picture(std::string_view id, std::string_view label, std::string_view description,
                        Rect place) {
    ImGui::SetCursorScreenPos(ImVec2(place.x, place.y));
    ImGui::Dummy(ImVec2(place.w, place.h));
    ImDrawList* draw = ImGui::GetWindowDrawList();
    draw->AddRectFilled(ImVec2(place.x, place.y), ImVec2(place.right(), place.bottom()), to_im(theme().plot));
    add_static(id, Role::fact, label, description, place);
    return draw;
}

void Ui::gap() {
    ImGui::Dummy(ImVec2(0, pad()));
}

}  // namespace fettle::app::ui
