#include "app/views/pulse_picture.hpp"

#include <imgui.h>

#include <algorithm>

#include "app/ui/imgui_compat.hpp"

namespace fettle::app {

namespace {

constexpr std::int64_t k_longest_us = 200000;

std::int64_t drawn_us(std::span<const std::int32_t> widths) {
    std::int64_t all = 0;
    for (const std::int32_t width : widths) all += std::max(width, 0);
    return std::clamp<std::int64_t>(all, 1, k_longest_us);
}

}  // namespace

void pulse_picture(ui::Ui& ui, std::string_view id, std::span<const std::int32_t> widths_us) {
    const std::int64_t whole = drawn_us(widths_us);
    const std::string said =
        widths_us.empty() ? std::string(ui.t(T::teach_no_pulses))
                          : ui.t(T::teach_pulses_said, widths_us.size(), static_cast<double>(whole) / 1000.0);
    const auto canvas = ui.canvas(id, ui.t(T::teach_pulses), said, 96);
    const float left = canvas.rect.x + ui.pad();
    const float wide = canvas.rect.w - 2 * ui.pad();
    const float high = canvas.rect.y + canvas.rect.h * 0.25f;
    const float low = canvas.rect.y + canvas.rect.h * 0.75f;
    const ImU32 color = ui::to_im(ui.theme().line[0]);
    const float thick = 2 * ui.scale();
    float x = left;
    std::int64_t at = 0;
    bool is_mark = true;
    for (const std::int32_t width : widths_us) {
        at += std::max(width, 0);
        const float next = left + wide * static_cast<float>(std::min(at, whole)) / static_cast<float>(whole);
        const float y = is_mark ? high : low;
        canvas.draw->AddLine(ImVec2(x, y), ImVec2(next, y), color, thick);
        canvas.draw->AddLine(ImVec2(next, high), ImVec2(next, low), color, thick);
        x = next;
        is_mark = !is_mark;
        if (at >= whole) break;
    }
    const std::string end = ui.t(T::teach_pulses_end, static_cast<double>(whole) / 1000.0);
    if (!widths_us.empty())
        canvas.draw->AddText(ImVec2(canvas.rect.right() - ui.pad() - ImGui::CalcTextSize(end.c_str()).x,
                                    canvas.rect.bottom() - ui.line_height() - 2),
                             ui::to_im(ui.theme().quiet), end.c_str());
    else
        canvas.draw->AddText(nullptr, 0, ImVec2(left, high), ui::to_im(ui.theme().quiet), said.c_str(),
                             nullptr, wide);
}

}  // namespace fettle::app
