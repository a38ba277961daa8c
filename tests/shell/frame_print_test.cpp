#include "app/shell/frame_print.hpp"

#include <doctest/doctest.h>
#include <imgui.h>

#include <set>
#include <string>

#include "app/ui/fonts.hpp"
#include "app/ui/imgui_compat.hpp"

namespace fettle::app {
namespace {

/// A frame with one line of text and a box at x.
std::uint64_t drawn(const char* text, float x, ImU32 color, float width = 640) {
    ui::Input input;
    input.size = {width, 480};
    ui::feed_imgui(input, 0.016f);
    ImGui::NewFrame();
    ImDrawList* list = ImGui::GetForegroundDrawList();
    list->AddText(ImVec2(10, 10), color, text);
    list->AddRect(ImVec2(x, 50), ImVec2(x + 30, 80), color);
    ImGui::Render();
    return print_of(*ImGui::GetDrawData());
}

}  // namespace

TEST_CASE("frame print: the same frame has the same print; another word, place, colour or size another") {
    ImGuiContext* context = ImGui::CreateContext();
    ImGui::GetIO().IniFilename = nullptr;
    ImGui::SetCurrentContext(context);
    REQUIRE(ui::load_fonts(17));
    const ImU32 white = IM_COL32(255, 255, 255, 255);
    const std::uint64_t first = drawn("57 s", 20, white);
    CHECK(drawn("57 s", 20, white) == first);
    CHECK(drawn("56 s", 20, white) != first);
    CHECK(drawn("57 s", 21, white) != first);
    CHECK(drawn("57 s", 20, IM_COL32(255, 255, 254, 255)) != first);
    CHECK(drawn("57 s", 20, white, 641) != first);
    CHECK(drawn("57 s", 20, white) == first);
    ImGui::DestroyContext(context);
}

TEST_CASE("frame print: 1000 countdowns have 1000 prints") {
    ImGuiContext* context = ImGui::CreateContext();
    ImGui::GetIO().IniFilename = nullptr;
    ImGui::SetCurrentContext(context);
    REQUIRE(ui::load_fonts(17));
    std::set<std::uint64_t> prints;
    for (int i = 0; i < 1000; ++i)
        prints.insert(drawn((std::to_string(i) + " s").c_str(), 20, IM_COL32(255, 255, 255, 255)));
    CHECK(prints.size() == 1000);
    ImGui::DestroyContext(context);
}

TEST_CASE("frame print: bytes beyond the last whole 8, and the count, matter") {
    CHECK(print_of(1, "123456789", 9) != print_of(1, "123456780", 9));
    CHECK(print_of(1, "12345678", 8) != print_of(1, "12345678\0", 9));
    CHECK(print_of(1, "12345678", 8) != print_of(2, "12345678", 8));
    CHECK(print_of(1, "12345678", 8) == print_of(1, "12345678", 8));
}

}  // namespace fettle::app
