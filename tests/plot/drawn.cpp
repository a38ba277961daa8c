#include "tests/plot/drawn.hpp"

#include <imgui.h>

#include <algorithm>
#include <cmath>

#include "app/ui/imgui_compat.hpp"

namespace fettle::app::test {

namespace {

struct Glyph {
    std::uint32_t letter = 0;
    float x0 = 0, y0 = 0, x1 = 0, size = 0;
};

void append_utf8(std::string& out, std::uint32_t letter) {
    if (letter < 0x80) {
        out += static_cast<char>(letter);
    } else if (letter < 0x800) {
        out += static_cast<char>(0xC0 | (letter >> 6));
        out += static_cast<char>(0x80 | (letter & 0x3F));
    } else {
        out += static_cast<char>(0xE0 | (letter >> 12));
        out += static_cast<char>(0x80 | ((letter >> 6) & 0x3F));
        out += static_cast<char>(0x80 | (letter & 0x3F));
    }
}

bool is_quad(const ImDrawVert* v) {
    return v[0].pos.y == v[1].pos.y && v[1].pos.x == v[2].pos.x && v[2].pos.y == v[3].pos.y &&
           v[3].pos.x == v[0].pos.x && v[0].uv.x != v[1].uv.x && v[0].uv.y != v[2].uv.y;
}

bool find_glyph(const ImDrawVert* v, Glyph& out) {
    for (const ImFont* font : ImGui::GetIO().Fonts->Fonts)
        for (const ImFontGlyph& glyph : font->Glyphs) {
            if (glyph.U0 != v[0].uv.x || glyph.V0 != v[0].uv.y || glyph.U1 != v[2].uv.x ||
                glyph.V1 != v[2].uv.y)
                continue;
            out = {glyph.Codepoint, v[0].pos.x - glyph.X0, v[0].pos.y - glyph.Y0,
                   v[0].pos.x - glyph.X0 + glyph.AdvanceX, font->FontSize};
            return true;
        }
    return false;
}

void put(std::vector<DrawnText>& all, const Glyph& glyph) {
    if (!all.empty()) {
        DrawnText& last = all.back();
        const float gap = glyph.x0 - last.rect.right();
        if (std::abs(glyph.y0 - last.rect.y) < 1.5f && gap > -2 && gap < 0.6f * glyph.size) {
            if (gap > 0.12f * glyph.size) last.text += ' ';
            append_utf8(last.text, glyph.letter);
            last.rect.w = glyph.x1 - last.rect.x;
            return;
        }
    }
    DrawnText text;
    append_utf8(text.text, glyph.letter);
    text.rect = {glyph.x0, glyph.y0, glyph.x1 - glyph.x0, glyph.size};
    all.push_back(text);
}

template <typename Work>
void each_list(const Work& work) {
    const ImDrawData* data = ImGui::GetDrawData();
    for (int i = 0; data != nullptr && i < data->CmdListsCount; ++i) work(*data->CmdLists[i]);
}

}  // namespace

std::vector<DrawnText> drawn_texts() {
    std::vector<DrawnText> all;
    each_list([&](const ImDrawList& list) {
        for (int i = 0; i + 3 < list.VtxBuffer.Size;) {
            Glyph glyph;
            if (is_quad(&list.VtxBuffer[i]) && find_glyph(&list.VtxBuffer[i], glyph)) {
                put(all, glyph);
                i += 4;
            } else {
                ++i;
            }
        }
    });
    return all;
}

bool has_drawn(const std::string& text) {
    const auto all = drawn_texts();
    return std::any_of(all.begin(), all.end(),
                       [&](const DrawnText& one) { return one.text.find(text) != std::string::npos; });
}

std::vector<ui::Point> drawn_points(ui::Color color) {
    std::vector<ui::Point> points;
    each_list([&](const ImDrawList& list) {
        for (const ImDrawVert& v : list.VtxBuffer)
            if (v.col == ui::to_im(color)) points.push_back({v.pos.x, v.pos.y});
    });
    return points;
}

std::size_t greatest_vertex_count() {
    std::size_t most = 0;
    each_list([&](const ImDrawList& list) {
        for (const ImDrawCmd& cmd : list.CmdBuffer)
            for (unsigned i = 0; i < cmd.ElemCount; ++i)
                most = std::max<std::size_t>(most, list.IdxBuffer[static_cast<int>(cmd.IdxOffset + i)] + 1u);
    });
    return most;
}

}  // namespace fettle::app::test
