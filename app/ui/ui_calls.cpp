// The call list: every control with its number, at the side; typing the number works it. 0 shows what did not
// fit.
#include <imgui.h>

#include <algorithm>

#include "app/ui/imgui_compat.hpp"
#include "app/ui/ui.hpp"

namespace fettle::app::ui {

namespace {

struct Line {
    std::string number, words;  ///< number "": a group's heading
    float height = 0;
};

std::string words_of(const Control& control, const Ui& ui) {
    std::string words = control.label;
    if (!control.value.empty() && control.role != Role::plot) words += ": " + control.value;
    if (!control.is_enabled) words += " (" + std::string(ui.t(T::control_not_now)) + ")";
    return words;
}

/// Lines [first of a page, first of the next); the last one: all lines.
std::vector<std::size_t> cut_pages(const std::vector<Line>& lines, float room) {
    std::vector<std::size_t> pages{0};
    float left = room;
    for (std::size_t i = 0; i < lines.size(); ++i) {
        // A heading stays with what it is over.
        const bool is_heading = lines[i].number.empty() && i + 1 < lines.size();
        const float needs = lines[i].height + (is_heading ? lines[i + 1].height : 0);
        if (needs > left && i > pages.back()) {
            pages.push_back(i);
            left = room;
        }
        left -= lines[i].height;
    }
    pages.push_back(lines.size());
    return pages;
}

}  // namespace

void Ui::draw_call_list() {
    const float em = ImGui::GetFontSize();
    const float wide = calls_room_.w - 2 * pad();
    const float column = text_size("000", -1).x + pad() * 0.5f;
    std::vector<Line> lines;
    std::string group;
    for (const Control& control : building_.controls) {
        if (control.number == 0) continue;
        if (control.group != group) {
            group = control.group;
            for (const Group& one : building_.groups)
                if (one.id == group) {
                    lines.push_back({"", one.label, text_size(one.label, wide).y + pad()});
                    break;
                }
        }
        const std::string words = words_of(control, *this);
        lines.push_back({std::to_string(control.number), words,
                         std::max(em, text_size(words, wide - column).y) + pad() * 0.5f});
    }
    in_overlay_ = true;  // it goes on over an overlay
    panel("calls", calls_room_, PanelKind::plain);
    group_.clear();
    const std::string& typed = navigator_.typed();
    const std::string said = typed.empty() ? t(T::control_calls_how) : t(T::control_calls_typed, typed);
    live("calls.typed", 2, said);
    const float top = ImGui::GetCursorScreenPos().y;
    const float room = calls_room_.bottom() - top - target() - 2 * pad();
    const auto pages = cut_pages(lines, room);
    const int count = static_cast<int>(pages.size()) - 1;
    if (!typed.empty())
        for (int page = count - 1; page >= 0; --page)
            for (std::size_t i = pages[static_cast<std::size_t>(page)];
                 i < pages[static_cast<std::size_t>(page) + 1]; ++i)
                if (!lines[i].number.empty() && lines[i].number.starts_with(typed)) calls_page_ = page;
    if (calls_page_ >= count) calls_page_ = 0;
    ImDrawList* draw = ImGui::GetWindowDrawList();
    float y = top;
    const float x = calls_room_.x + pad();
    for (std::size_t i = pages[static_cast<std::size_t>(calls_page_)];
         i < pages[static_cast<std::size_t>(calls_page_) + 1]; ++i) {
        const Line& line = lines[i];
        const bool is_called = !typed.empty() && line.number.starts_with(typed);
        const Color color = line.number.empty() ? theme().quiet : theme().text;
        const float from = line.number.empty() ? x : x + column;
        if (line.number.empty()) y += pad() * 0.5f;
        if (is_called)
            draw->AddRect(ImVec2(x - 3, y - 1), ImVec2(x + wide + 3, y + line.height - 2),
                          to_im(theme().text), 2, 0, 2 * scale());
        draw->AddText(ImVec2(x, y), to_im(theme().focus), line.number.c_str());
        draw->AddText(nullptr, 0, ImVec2(from, y), to_im(color), line.words.c_str(), nullptr,
                      wide - (from - x));
        y += line.height - (line.number.empty() ? pad() * 0.5f : 0);
    }
    ImGui::SetCursorScreenPos(ImVec2(x, calls_room_.bottom() - target() - pad()));
    if (button("calls.more", t(T::control_calls_more, calls_page_ + 1, count)))
        calls_page_ = count > 0 ? (calls_page_ + 1) % count : 0;
    end_panel();
    in_overlay_ = false;
}

}  // namespace fettle::app::ui
