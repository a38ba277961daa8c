#include "app/ui/fonts.hpp"

#include <doctest/doctest.h>
#include <imgui.h>

#include "app/words/texts.hpp"

namespace fettle::app::ui {
namespace {

struct Context {
    ImGuiContext* context = ImGui::CreateContext();
    Context() {
        ImGui::SetCurrentContext(context);
        ImGui::GetIO().IniFilename = nullptr;
    }
    ~Context() { ImGui::DestroyContext(context); }
    Context(const Context&) = delete;
    Context& operator=(const Context&) = delete;
};

bool has_letter(ImFont* font, unsigned character) {
    return font->FindGlyphNoFallback(static_cast<ImWchar>(character)) != nullptr;
}

}  // namespace

TEST_CASE("fonts: font 0 has the asked height, font 1 three times that, without a window") {
    const Context context;
    REQUIRE(load_fonts(17));
    CHECK(ImGui::GetIO().Fonts->Fonts.Size == 2);
    CHECK(normal_font()->FontSize == 17);
    CHECK(large_font()->FontSize == 51);
    CHECK(normal_font() == ImGui::GetIO().Fonts->Fonts[0]);
    CHECK(large_font() == ImGui::GetIO().Fonts->Fonts[1]);
}

TEST_CASE("fonts: every character of every row of the table of texts can be drawn, in both languages") {
    const Context context;
    Fonts fonts;
    REQUIRE(fonts.load(17));
    // The built-in font has no umlauts; the packages of this test bring a font that has.
    REQUIRE(!fonts.file().empty());
    int missing = 0;
    for (int language = 0; language < k_languages; ++language) {
        for (int i = 0; i < text_count(); ++i) {
            const char* text = text_in(static_cast<Language>(language), static_cast<T>(i));
            ImVector<ImWchar> used;
            ImFontGlyphRangesBuilder builder;
            builder.AddText(text);  // Dear ImGui's own decoder
            for (unsigned c = 0x21; c <= 0xFFFF; ++c) {
                if (!builder.GetBit(c) || has_letter(normal_font(), c)) continue;
                ++missing;
                MESSAGE(text << " misses " << c);
            }
        }
    }
    CHECK(missing == 0);
}

TEST_CASE("fonts: Latin-1 and Latin Extended-A are there for names, all 316 characters that are drawn") {
    const Context context;
    REQUIRE(load_fonts(17));
    int drawn = 0;
    for (unsigned c = 0x21; c < 0x180; ++c)
        if ((c < 0x7F || c > 0xA0) && c != 0xAD && has_letter(normal_font(), c)) ++drawn;
    // Source: The Unicode Standard, blocks 0000 to 017F: 94 + 94 + 128, without spaces and soft hyphen.
    CHECK(drawn == 316);
}

TEST_CASE("fonts: a name in another script is behind until the next load, then drawn") {
    const Context context;
    Fonts fonts;
    REQUIRE(fonts.load(17));
    CHECK_FALSE(fonts.is_behind());
    fonts.want("Überblick");
    CHECK_FALSE(fonts.is_behind());
    fonts.want("Ж");
    CHECK(fonts.is_behind());
    CHECK_FALSE(has_letter(normal_font(), 0x416));
    REQUIRE(fonts.load(17));
    CHECK_FALSE(fonts.is_behind());
    CHECK(has_letter(normal_font(), 0x416));
}

TEST_CASE("fonts: a character that no font has, and bytes that are no UTF-8, are asked for once") {
    const Context context;
    Fonts fonts;
    fonts.want("\xEE\x80\x80 \xFF\xC3 \xF0\x9F\x98\x80");  // private use, garbage, beyond the basic plane
    REQUIRE(fonts.load(17));
    CHECK_FALSE(fonts.is_behind());
    fonts.want("\xFE\xED\xA0");
    CHECK_FALSE(fonts.is_behind());
}

TEST_CASE("fonts: a live change of scale from 100 to 300 per cent and back") {
    const Context context;
    Fonts fonts;
    for (const float px : {17.0f, 51.0f, 17.0f}) {
        REQUIRE(fonts.load(px));
        CHECK(normal_font()->FontSize == px);
        CHECK(has_letter(normal_font(), 0xE4));
    }
}

TEST_CASE("fonts: heights outside 8 to 160 px are refused") {
    const Context context;
    Fonts fonts;
    for (const float px : {0.0f, 7.9f, 161.0f, -1.0f}) {
        CAPTURE(px);
        CHECK(fonts.load(px).error().code == Errc::out_of_range);
    }
}

}  // namespace fettle::app::ui
