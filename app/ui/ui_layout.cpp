// Where things stand: rows that flow, panels that scroll, columns that become a stack.
#include <imgui.h>

#include <algorithm>

#include "app/ui/ui.hpp"

namespace fettle::app::ui {

float Ui::width() const {
    return ImGui::GetContentRegionAvail().x;
}

float Ui::line_height() const {
    return ImGui::GetTextLineHeight();
}

float Ui::pad() const {
    return 8 * std::min(scale(), 1.5f);
}

float Ui::target() const {
    return std::max(44.0f, ImGui::GetTextLineHeight() + 2 * pad());
}

bool Ui::is_narrow() const {
    return input_.size.x < 1000 * scale();
}

void Ui::row() {
    in_row_ = true;
    row_is_empty_ = true;
}

void Ui::end_row() {
    in_row_ = false;
}

void Ui::flow(float width) {
    if (!in_row_) return;
    if (!row_is_empty_) {
        const float right = ImGui::GetItemRectMax().x + ImGui::GetStyle().ItemSpacing.x;
        const float edge = ImGui::GetCursorScreenPos().x + ImGui::GetContentRegionAvail().x;
        if (right + width <= edge + 0.5f) ImGui::SameLine();
    }
}

void Ui::flowed() {
    row_is_empty_ = false;
}

void Ui::group(std::string_view id, std::string_view label) {
    group_ = id;
    building_.groups.push_back({std::string(id), std::string(label)});
}

void Ui::end_group() {
    group_.clear();
}

void Ui::panel(std::string_view id, Rect place) {
    ImGui::SetCursorScreenPos(ImVec2(place.x, place.y));
    ImGui::PushStyleVar(ImGuiStyleVar_WindowPadding, ImVec2(pad(), pad()));
    ImGui::BeginChild(std::string(id).c_str(), ImVec2(place.w, place.h), true,
                      ImGuiWindowFlags_NoNav | ImGuiWindowFlags_NoSavedSettings);
    ImGui::PopStyleVar();
    panel_ = id;
}

void Ui::end_panel() {
    ImGui::EndChild();
    panel_.clear();
}

void Ui::column(int i, int count) {
    if (i == 0) {
        columns_ = is_narrow() ? 0 : count;
        if (columns_ > 0)
            ImGui::BeginTable("columns", count,
                              ImGuiTableFlags_SizingStretchSame | ImGuiTableFlags_NoSavedSettings);
    }
    if (columns_ > 0) ImGui::TableNextColumn();
}

void Ui::end_columns() {
    if (columns_ > 0) ImGui::EndTable();
    columns_ = 0;
}

}  // namespace fettle::app::ui
