#include "app/views/display_mirror.hpp"

#include <imgui.h>

#include <algorithm>

#include "app/ui/imgui_compat.hpp"

namespace fettle::app {

namespace {

constexpr std::size_t k_columns = 20;
constexpr std::size_t k_rows = 4;

}  // namespace

void display_mirror(ui::Ui& ui, std::string_view id, const std::vector<std::string>& rows) {
    std::string said;
    std::size_t columns = k_columns;
    for (const std::string& row : rows) {
        said += (said.empty() ? "" : " / ") + row;
        columns = std::max(columns, row.size());
    }
    if (rows.empty()) said = ui.t(T::connect_no_display);
    const float line = ImGui::GetFontSize() * 1.35f;
    const auto canvas = ui.canvas(id, ui.t(T::connect_display), said,
                                  line * static_cast<float>(k_rows) / std::min(ui.scale(), 2.0f) + 12);
    const float cell =
        std::min(ImGui::GetFontSize() * 0.75f, (canvas.rect.w - 12) / static_cast<float>(columns));
    const ImU32 text = ui::to_im(ui.theme().text);
    if (rows.empty())
        canvas.draw->AddText(nullptr, 0, ImVec2(canvas.rect.x + 6, canvas.rect.y + 6), text, said.c_str(),
                             nullptr, canvas.rect.w - 12);
    for (std::size_t row = 0; row < rows.size(); ++row)
        for (std::size_t at = 0; at < rows[row].size(); ++at) {
            const ImVec2 place(canvas.rect.x + 6 + cell * static_cast<float>(at),
                               canvas.rect.y + 6 + line * static_cast<float>(row));
            if (place.y + line > canvas.rect.bottom() + 1) break;
            const char* letter = rows[row].data() + at;
            canvas.draw->AddText(nullptr, std::min(ImGui::GetFontSize(), cell * 1.5f), place, text, letter,
                                 letter + 1);
        }
}

}  // namespace fettle::app
