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
    ImGui::GetWindowDrawList()->AddText(nullptr, 0, from, to_im(theme().text), text.data(), end_of(text),
                                        wide);
    ImGui::Dummy(ImVec2(wide, height));
    add_static(id, Role::text, text, "", {from.x, from.y, wide, height});
}

void Ui::fact(std::string_view id, std::string_view label, std::string_view value) {
    const float column = std::min(width() * 0.5f, 15 * ImGui::GetFontSize());
    const ImVec2 from = ImGui::GetCursorScreenPos();
    ImDrawList* draw = ImGui::GetWindowDrawList();
    const float wide = width();
    const Point label_size = text_size(label, column - pad());
    const Point value_size = text_size(value, wide - column);
    draw->AddText(nullptr, 0, from, to_im(theme().quiet), label.data(), end_of(label), column - pad());
    draw->AddText(nullptr, 0, ImVec2(from.x + column, from.y), to_im(theme().text), value.data(),
                  end_of(value), wide - column);
    const float height = std::max({label_size.y, value_size.y, ImGui::GetTextLineHeight()});
    ImGui::Dummy(ImVec2(wide, height));
    add_static(id, Role::fact, label, value, {from.x, from.y, wide, height});
}

void Ui::note(NoteKind kind, std::string_view text) {
    const Color color = kind == NoteKind::good      ? theme().good
                        : kind == NoteKind::warning ? theme().warn
                        : kind == NoteKind::problem ? theme().bad
                                                    : theme().quiet;
    const float em = ImGui::GetFontSize();
    const ImVec2 from = ImGui::GetCursorScreenPos();
    const float wide = width();
    const Point size = text_size(text, wide - 1.6f * em);
    ImDrawList* draw = ImGui::GetWindowDrawList();
    const ImVec2 centre(from.x + em * 0.6f, from.y + em * 0.5f);
    const float r = em * 0.42f;
    // A shape of its own each: nothing is told by colour alone.
    switch (kind) {
        case NoteKind::hint:
            draw->AddRectFilled(ImVec2(centre.x - 2, from.y), ImVec2(centre.x + 2, from.y + size.y),
                                to_im(color));
            break;
        case NoteKind::good: draw->AddCircleFilled(centre, r, to_im(color)); break;
        case NoteKind::warning:
            draw->AddTriangleFilled(ImVec2(centre.x, centre.y - r), ImVec2(centre.x - r, centre.y + r),
                                    ImVec2(centre.x + r, centre.y + r), to_im(color));
            break;
        case NoteKind::problem:
            draw->AddRectFilled(ImVec2(centre.x - r, centre.y - r), ImVec2(centre.x + r, centre.y + r),
                                to_im(color));
            break;
    }
    draw->AddText(nullptr, 0, ImVec2(from.x + 1.6f * em, from.y), to_im(color), text.data(), end_of(text),
                  wide - 1.6f * em);
    const float height = std::max(size.y, ImGui::GetTextLineHeight());
    ImGui::Dummy(ImVec2(wide, height));
    add_static("", Role::note, text, "", {from.x, from.y, wide, height});
}

void Ui::large(std::string_view id, std::string_view text) {
    const auto& fonts = ImGui::GetIO().Fonts->Fonts;
    ImFont* font = fonts.Size > 1 ? fonts[1] : ImGui::GetFont();
    ImGui::PushFont(font);
    ImGui::TextUnformatted(text.data(), end_of(text));
    ImGui::PopFont();
    add_static(id, Role::text, text, "", last_item());
}

void Ui::gap() {
    ImGui::Dummy(ImVec2(0, pad()));
}

}  // namespace fettle::app::ui
