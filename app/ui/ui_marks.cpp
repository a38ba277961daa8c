// What is drawn over everything: the focus ring, what a typed number calls, what scanning marks, the numbers.
#include <imgui.h>

#include <algorithm>
#include <cmath>

#include "app/ui/imgui_compat.hpp"
#include "app/ui/ui.hpp"

namespace fettle::app::ui {

namespace {

constexpr float k_ring = 3;  // px at 100 %; WCAG 2.2, 2.4.13 asks for 2

Rect grown(const Rect& r, float by) {
    return {r.x - by, r.y - by, r.w + 2 * by, r.h + 2 * by};
}

Rect common(const Rect& a, const Rect& b) {
    const float x = std::max(a.x, b.x);
    const float y = std::max(a.y, b.y);
    return {x, y, std::min(a.right(), b.right()) - x, std::min(a.bottom(), b.bottom()) - y};
}

void frame(const Rect& r, Color color, float thick, float round) {
    ImGui::GetForegroundDrawList()->AddRect(ImVec2(r.x, r.y), ImVec2(r.right(), r.bottom()), to_im(color),
                                            round, 0, thick);
}

}  // namespace

Rect Ui::seen(const Control& control) const {
    const Panel* panel = shown_.find_panel(control.panel);
    return panel == nullptr ? control.rect : common(control.rect, panel->rect);
}

void Ui::draw_ring() {
    const Control* control = shown_.find(navigator_.focus());
    if (control == nullptr) return;
    const float thick = k_ring * scale();
    Rect r = seen(*control);
    const Panel* panel = shown_.find_panel(control->panel);
    if ((r.w <= 0 || r.h <= 0) && panel != nullptr) {
        // It lies beyond an edge of its panel: the edge shows where.
        const bool is_above = control->rect.y < panel->rect.y;
        r = {panel->rect.x + thick, is_above ? panel->rect.y : panel->rect.bottom() - thick,
             panel->rect.w - 2 * thick, thick};
    }
    // Outside the control, but never outside the window.
    r = common(grown(r, thick * 0.5f), grown({0, 0, input_.size.x, input_.size.y}, -thick * 0.5f));
    frame(grown(r, thick * 0.6f), theme().page, thick * 0.6f, 6 * scale());
    frame(r, theme().focus, thick, 6 * scale());
}

void Ui::draw_dashed(Rect rect, Color color, float thick) {
    ImDrawList* draw = ImGui::GetForegroundDrawList();
    const float dash = 5 * thick;
    const auto line = [&](float x, float y, float to_x, float to_y) {
        const float length = std::max(std::abs(to_x - x), std::abs(to_y - y));
        const int steps = std::max(1, static_cast<int>(length / (2 * dash)));
        for (int i = 0; i < steps; ++i) {
            const float a = static_cast<float>(i) / static_cast<float>(steps);
            const float b = a + 0.6f / static_cast<float>(steps);
            draw->AddLine(ImVec2(x + (to_x - x) * a, y + (to_y - y) * a),
                          ImVec2(x + (to_x - x) * b, y + (to_y - y) * b), to_im(color), thick);
        }
    };
    line(rect.x, rect.y, rect.right(), rect.y);
    line(rect.right(), rect.y, rect.right(), rect.bottom());
    line(rect.right(), rect.bottom(), rect.x, rect.bottom());
    line(rect.x, rect.bottom(), rect.x, rect.y);
}

void Ui::draw_called() {
    if (!options_.shows_call_list) return;
    draw_tags();
    const std::string& typed = navigator_.typed();
    if (typed.empty()) return;
    for (const Control& control : shown_.controls)
        if (control.number > 0 && std::to_string(control.number).starts_with(typed))
            if (const Rect r = seen(control); r.w > 0 && r.h > 0)
                frame(grown(r, -2 * scale()), theme().text, 2 * scale(), 4 * scale());
}

void Ui::draw_tags() {
    ImDrawList* draw = ImGui::GetForegroundDrawList();
    const float px = 2 * pad() - 2;  // stands in a control's padding and the space above it
    for (const Control& control : shown_.controls) {
        if (control.number == 0) continue;
        const Rect r = seen(control);
        if (r.w <= 0 || r.h < control.rect.h * 0.5f) continue;
        const std::string number = std::to_string(control.number);
        const ImVec2 size = ImGui::GetFont()->CalcTextSizeA(px, 1e6f, -1, number.c_str());
        const ImVec2 at(r.right() - size.x - 4, r.y - px * 0.5f);
        draw->AddRectFilled(ImVec2(at.x - 3, at.y), ImVec2(at.x + size.x + 3, at.y + size.y),
                            to_im(theme().page), 3);
        draw->AddRect(ImVec2(at.x - 3, at.y), ImVec2(at.x + size.x + 3, at.y + size.y),
                      to_im(theme().control_edge), 3);
        draw->AddText(ImGui::GetFont(), px, at, to_im(theme().text), number.c_str());
    }
}

void Ui::draw_scan_mark() {
    if (!options_.scans || scan_.state == ScanState::resting) return;
    if (static_cast<std::size_t>(scan_.group) >= scan_groups_.size()) return;
    const ScanGroup& group = scan_groups_[static_cast<std::size_t>(scan_.group)];
    const auto item = static_cast<std::size_t>(scan_.item);
    const bool one = scan_.state == ScanState::items && item < group.items.size();
    Rect all;
    for (std::size_t i = 0; i < group.items.size(); ++i) {
        if (one && i != item) continue;
        for (Control& control : shown_.controls) {
            if (control.id != group.items[i]) continue;
            control.is_scanned = true;
            const Rect r = seen(control);
            if (r.w <= 0 || r.h <= 0) continue;
            const Rect before = all.w > 0 ? all : r;
            const float x = std::min(before.x, r.x);
            const float y = std::min(before.y, r.y);
            all = {x, y, std::max(before.right(), r.right()) - x, std::max(before.bottom(), r.bottom()) - y};
        }
    }
    if (all.w <= 0) return;
    const float thick = 4 * scale();
    const Rect mark = common(grown(all, thick), grown({0, 0, input_.size.x, input_.size.y}, -thick * 0.5f));
    const bool on_back = scan_.state == ScanState::items && !one;
    frame(mark, theme().page, thick * 1.6f, 0);
    draw_dashed(mark, on_back ? theme().quiet : theme().text, on_back ? thick * 0.5f : thick);
}

}  // namespace fettle::app::ui
