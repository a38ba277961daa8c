#pragma once
// Colours by what they are for. In every theme text stands at 7:1 or more on what it can stand on, edges of
// controls and plot lines at 3:1 or more (WCAG 2.2, 1.4.6 and 1.4.11); a test computes it.

#include <array>

#include "app/ui/geometry.hpp"

namespace fettle::app::ui {

enum class ThemeName : std::uint8_t { dark, light, high_contrast };
inline constexpr int k_themes = 3;
inline constexpr int k_plot_lines = 6;

struct Theme {
    Color page, panel, plot;               ///< grounds
    Color text, quiet;                     ///< on page, panel and plot
    Color control, control_edge;           ///< a control's ground and edge
    Color control_text;                    ///< on control
    Color chosen, chosen_text;             ///< ground and text of what is on, lit or chosen
    Color focus;                           ///< the ring
    Color good, warn, bad;                 ///< text and edges of notes, beside a word and a shape
    Color grid_line;                       ///< decoration only, never the only carrier of anything
    std::array<Color, k_plot_lines> line;  ///< plot lines; told apart by dash and label too
    bool operator==(const Theme&) const = default;
};

const Theme& theme(ThemeName name);

/// Relative luminance and contrast ratio. Source: WCAG 2.2, definitions of relative luminance and contrast
/// ratio.
double luminance(Color color);
double contrast(Color a, Color b);

}  // namespace fettle::app::ui
