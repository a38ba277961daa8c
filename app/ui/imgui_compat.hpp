#pragma once
// The one place that knows which Dear ImGui this is: 1.86 as Debian 12 has it, and newer ones, where input is
// queued instead of set.

#include <imgui.h>

#include "app/ui/input.hpp"

namespace fettle::app::ui {

/// Hands size, time and pointer to the current context; before ImGui::NewFrame. Keys never go there: this
/// window's controls take them from Input.
inline void feed_imgui(const Input& input, float delta_s) {
    ImGuiIO& io = ImGui::GetIO();
    io.DisplaySize = ImVec2(input.size.x, input.size.y);
    io.DeltaTime = delta_s > 0 ? delta_s : 1.0f / 60.0f;
#if IMGUI_VERSION_NUM >= 18700
    io.AddMousePosEvent(input.pointer.x, input.pointer.y);
    io.AddMouseButtonEvent(0, input.primary_down);
    if (input.wheel != 0) io.AddMouseWheelEvent(0, input.wheel);
#else
    io.MousePos = ImVec2(input.pointer.x, input.pointer.y);
    io.MouseDown[0] = input.primary_down;
    io.MouseWheel = input.wheel;
#endif
}

inline ImU32 to_im(Color color) {
    return IM_COL32(color.r, color.g, color.b, 255);
}

}  // namespace fettle::app::ui
