// Where things stand: rows that flow, panels that scroll, columns that become a stack.
#include <imgui.h>

#include <algorithm>
#include <utility>

#include "app/ui/imgui_compat.hpp"
#include "app/ui/ui.hpp"

namespace fettle::app::ui {

float Ui::width() const {
    return std::max(1.0f, ImGui::GetContentRegionAvail().x);
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
    return room_.w < 1000 * scale();
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

void Ui::panel(std::string_view id, Rect place, PanelKind kind) {
    open_panel_ = {place, kind == PanelKind::pages ? target() + pad() : 0, kind};
    panel_ = id;
    ImGui::SetCursorScreenPos(ImVec2(place.x, place.y));
    ImGui::PushStyleVar(ImGuiStyleVar_WindowPadding, ImVec2(pad(), pad()));
    ImGui::BeginChild(panel_.c_str(),
                      ImVec2(std::max(1.0f, place.w - open_panel_.gutter), std::max(1.0f, place.h)), true,
                      ImGuiWindowFlags_NoNav | ImGuiWindowFlags_NoSavedSettings |
                          ImGuiWindowFlags_NoScrollbar | ImGuiWindowFlags_AlwaysUseWindowPadding);
    ImGui::PopStyleVar();
    if (kind == PanelKind::always) ImGui::SetScrollY(0);
    if (scroll_ && scroll_->panel == id) {
        ImGui::SetScrollY(std::clamp(ImGui::GetScrollY() + scroll_->by_px, 0.0f, ImGui::GetScrollMaxY()));
        scroll_.reset();
        more_frames_ = 2;
    }
}

void Ui::end_panel() {
    const OpenPanel open = open_panel_;
    Panel panel{panel_, open.place, ImGui::GetScrollY(), ImGui::GetScrollMaxY(),
                open.kind == PanelKind::always};
    panel.rect.w -= open.gutter;
    ImGui::EndChild();
    if (!is_overlaid()) {
        building_.panels.push_back(panel);
    }
    if (open.gutter > 0) draw_pager(panel, open);
    panel_.clear();
    open_panel_ = {};
}

void Ui::draw_pager(const Panel& panel, const OpenPanel& open) {
    const Rect side{panel.rect.right(), open.place.y, open.gutter, open.place.h};
    // A window of its own: it must stand over what lies behind an overlay.
    ImGui::SetCursorScreenPos(ImVec2(side.x, side.y));
    ImGui::BeginChild(
        (panel_ + ".pages").c_str(), ImVec2(side.w, side.h), false,
        ImGuiWindowFlags_NoNav | ImGuiWindowFlags_NoSavedSettings | ImGuiWindowFlags_NoScrollbar);
    if (panel.most_scroll > 0) draw_pages(panel, side);
    ImGui::EndChild();
}

void Ui::draw_pages(const Panel& panel, const Rect& side) {
    ImDrawList* draw = ImGui::GetWindowDrawList();
    const float big = target();
    const float by = 0.75f * panel.rect.h;
    const std::string of = panel_;
    panel_ = of + ".pages";
    const std::string was_group = std::exchange(group_, of + ".pages");
    building_.groups.push_back({group_, t(T::control_pages)});
    const auto arrow = [&](const char* id, T label, float y, bool is_down, bool can) {
        ImGui::SetCursorScreenPos(ImVec2(side.x, y));
        // Worked at the end, too, where it does nothing: so Tab and scanning find it wherever it is scrolled
        // to.
        const Placed placed = place(of + id, Role::button, t(label), "", big, big, true);
        draw_face(placed, face(placed, "", Look::plain, false));
        const Point c = placed.rect.centre();
        const float r = big * 0.2f;
        const float tip = is_down ? r : -r;
        draw->AddTriangleFilled(ImVec2(c.x - r, c.y - tip * 0.6f), ImVec2(c.x + r, c.y - tip * 0.6f),
                                ImVec2(c.x, c.y + tip), to_im(can ? theme().control_text : theme().quiet));
        if (placed.was_activated) {
            scroll_ = Navigator::Scroll{of, is_down ? by : -by};
            more_frames_ = 2;
        }
    };
    if (!is_overlaid()) building_.panels.push_back({panel_, side, 0, 0, false});
    arrow(".earlier", T::control_page_up, side.y + pad() * 0.5f, false, panel.scroll > 1);
    arrow(".later", T::control_page_down, side.bottom() - big - pad() * 0.5f, true,
          panel.scroll < panel.most_scroll - 1);
    // How far down it is: a bar between the two.
    const float top = side.y + big + 2 * pad();
    const float length = side.h - 2 * big - 4 * pad();
    if (length > pad()) {
        const float whole = panel.rect.h + panel.most_scroll;
        const float x = side.x + big / 2;
        const float from = top + length * panel.scroll / whole;
        draw->AddLine(ImVec2(x, top), ImVec2(x, top + length), to_im(theme().grid_line), 2 * scale());
        draw->AddLine(ImVec2(x, from), ImVec2(x, from + length * panel.rect.h / whole),
                      to_im(theme().control_edge), 6 * scale());
    }
    group_ = was_group;
    panel_ = of;
}

void Ui::bring_into_view(const Rect& rect) const {
    // The label above it, too; what is higher than the panel is shown from its top.
    const float top = ImGui::GetWindowPos().y + pad() + line_height();
    const float bottom = ImGui::GetWindowPos().y + ImGui::GetWindowHeight() - pad();
    float by = 0;
    if (rect.bottom() > bottom) by = rect.bottom() - bottom;
    if (rect.y - by < top) by = rect.y - top;
    // What is seen on the first page is shown with the page's beginning.
    const float from_start = rect.bottom() - ImGui::GetWindowPos().y + ImGui::GetScrollY();
    if (by < 0 && from_start <= ImGui::GetWindowHeight() - pad()) by = -ImGui::GetScrollY();
    if (by != 0) ImGui::SetScrollY(std::clamp(ImGui::GetScrollY() + by, 0.0f, ImGui::GetScrollMaxY()));
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
