// Nothing is drawn that takes a pointer and is not in the registry. Every item that Dear ImGui's widgets make
// goes through ItemAdd; the linker hands those calls to us (-Wl,--wrap, this binary only).
#include <doctest/doctest.h>
#include <imgui.h>
#include <imgui_internal.h>

#include <cmath>
#include <vector>

#include "tests/views/sitting.hpp"

namespace {
std::vector<ImRect> g_items;  // of this frame, with an id
}

#define REAL_ITEM_ADD __real__ZN5ImGui7ItemAddERK6ImRectjPS1_i
#define WRAPPED_ITEM_ADD __wrap__ZN5ImGui7ItemAddERK6ImRectjPS1_i
extern "C" bool REAL_ITEM_ADD(const ImRect& box, ImGuiID id, const ImRect* nav_box, ImGuiItemFlags flags);
extern "C" bool WRAPPED_ITEM_ADD(const ImRect& box, ImGuiID id, const ImRect* nav_box, ImGuiItemFlags flags) {
    // Its own fallback window is never shown.
    if (id != 0 && !ImGui::GetCurrentContext()->CurrentWindow->IsFallbackWindow) g_items.push_back(box);
    return REAL_ITEM_ADD(box, id, nav_box, flags);
}

namespace fettle::app::test {
namespace {

bool is_same(const ui::Rect& r, const ImRect& box) {
    return std::abs(r.x - box.Min.x) < 1 && std::abs(r.y - box.Min.y) < 1 &&
           std::abs(r.right() - box.Max.x) < 1 && std::abs(r.bottom() - box.Max.y) < 1;
}

/// A frame's items against its registry.
void check_frame(Sitting& sitting) {
    sitting.bench->settle();
    g_items.clear();
    sitting.bench->frame();
    const auto& controls = sitting.bench->ui.registry().controls;
    std::string strangers;
    for (const ImRect& box : g_items) {
        bool is_known = false;
        for (const ui::Control& control : controls)
            is_known = is_known || (ui::is_worked(control.role) && is_same(control.rect, box));
        if (!is_known)
            strangers += std::to_string(box.Min.x) + " " + std::to_string(box.Min.y) + " " +
                         std::to_string(box.GetWidth()) + " " + std::to_string(box.GetHeight()) + "\n";
    }
    std::size_t worked = 0;
    for (const ui::Control& control : controls) worked += ui::is_worked(control.role) ? std::size_t{1} : 0;
    CHECK(strangers == "");
    // And the audit sees what there is.
    CHECK(g_items.size() == worked);
    CHECK(worked > 5);
}

TEST_CASE("audit: on 9 screens at 100 and 300 % each of Dear ImGui's items is a control of the registry") {
    for (const int percent : {100, 300}) {
        SittingWish wish;
        wish.scale_percent = percent;
        Sitting sitting(wish);
        for (int i = 0; i < k_screens; ++i) {
            sitting.show(static_cast<Screen>(i));
            CAPTURE(percent);
            CAPTURE(i);
            check_frame(sitting);
        }
    }
}

TEST_CASE("audit: an item made without the registry is noticed") {
    bool has_stranger = false;
    Bench bench([&](ui::Ui& ui) {
        ui.panel("content", ui.room());
        (void)ui.button("a", "A");
        if (has_stranger) (void)ImGui::Button("stranger");
        ui.end_panel();
    });
    bench.settle();
    g_items.clear();
    bench.frame();
    const std::size_t before = g_items.size();
    has_stranger = true;
    g_items.clear();
    bench.frame();
    CHECK(before == 1);
    CHECK(g_items.size() == 2);
}

}  // namespace
}  // namespace fettle::app::test
