#pragma once
// The window's letters: the system's own fonts, found by fontconfig, drawn by FreeType into the atlas of the
// current Dear ImGui context. Needs no window and no OpenGL. Thread: the window's.

#include <memory>
#include <string>
#include <string_view>

#include "core/base/result.hpp"

struct ImFont;

namespace fettle::app::ui {

/// Height of normal text at 100 %, and how many times larger the largest is (seconds left). Unit: px.
inline constexpr float k_text_px = 17.0f;
inline constexpr float k_large_times = 3.0f;

/// What is in the atlas and what must come into it. One for each context; outlives nothing of it.
class Fonts {
public:
    Fonts();
    ~Fonts();
    Fonts(const Fonts&) = delete;
    Fonts& operator=(const Fonts&) = delete;

    /// Characters that the next load() brings in, beside those of every row of the table of texts, of
    /// Latin-1, Latin Extended-A and the signs that the controls draw. Ill-formed UTF-8 counts as U+FFFD.
    void want(std::string_view text);
    /// Something wanted was not there yet at the last load().
    bool is_behind() const;
    /// Builds the atlas anew: font 0 normal, font 1 large. Between frames only; the renderer's texture must
    /// be made anew afterwards. px: height of normal text, 8 to 160. A character that no font of the system
    /// has is drawn as its replacement sign. Errors: out_of_range; io (not even the built-in font: out of
    /// memory).
    Status load(float px);
    /// The file that most letters come from, "" for the built-in one.
    const std::string& file() const;

private:
    struct Inside;
    std::unique_ptr<Inside> inside_;
};

/// For tests and programs with fixed strings: want(extra) and load(px) in one.
Status load_fonts(float px, std::string_view extra = {});

ImFont* normal_font();
ImFont* large_font();

}  // namespace fettle::app::ui
