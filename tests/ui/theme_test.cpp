#include <doctest/doctest.h>

#include <cmath>

#include "app/ui/theme.hpp"

namespace fettle::app::ui {
namespace {

constexpr Color grey(std::uint8_t v) {
    return {v, v, v};
}

bool is_near(double a, double b, double within) {
    return std::abs(a - b) <= within;
}

TEST_CASE("theme: 8 contrast ratios of published pairs come out to 4 places") {
    // Source: WCAG 2.2, definitions of relative luminance and contrast ratio; black on white is 21:1 there.
    CHECK(is_near(contrast(grey(0), grey(255)), 21.0, 1e-9));
    // The same formula worked by hand; W3C's guidance prints 4.54 for the first and 7 for the second.
    CHECK(is_near(contrast(grey(0x76), grey(255)), 4.5422, 5e-5));
    CHECK(is_near(contrast(grey(0x59), grey(255)), 7.0047, 5e-5));
    CHECK(is_near(contrast(grey(0x77), grey(255)), 4.4781, 5e-5));
    CHECK(is_near(contrast({255, 0, 0}, grey(255)), 3.9985, 5e-5));
    CHECK(is_near(contrast({0, 0, 255}, grey(255)), 8.5925, 5e-5));
    // Source: npm package contrast-ratio-checker, its own tests' values.
    CHECK(is_near(luminance({0xFF, 0x81, 0x00}), 0.36960513804637335, 1e-6));
    CHECK(is_near(contrast({0xFF, 0x81, 0x00}, {0x64, 0x00, 0x3A}), 5.235369975583679, 1e-4));
}

TEST_CASE("theme: in 3 themes every text stands at 7:1 or more on each ground that it can stand on") {
    // Source: WCAG 2.2, 1.4.6.
    for (int i = 0; i < k_themes; ++i) {
        const Theme& t = theme(static_cast<ThemeName>(i));
        CAPTURE(i);
        for (const Color ground : {t.page, t.panel, t.plot})
            for (const Color text : {t.text, t.quiet, t.good, t.warn, t.bad})
                CHECK(contrast(text, ground) >= 7);
        CHECK(contrast(t.control_text, t.control) >= 7);
        CHECK(contrast(t.chosen_text, t.chosen) >= 7);
        CHECK(contrast(t.quiet, t.page) >= 7);  // what is not enabled
    }
}

TEST_CASE("theme: in 3 themes edges, rings, marks and plot lines stand at 3:1 or more on what lies beside") {
    // Source: WCAG 2.2, 1.4.11 and 2.4.13.
    for (int i = 0; i < k_themes; ++i) {
        const Theme& t = theme(static_cast<ThemeName>(i));
        CAPTURE(i);
        for (const Color ground : {t.page, t.panel, t.plot}) {
            for (const Color edge : {t.control_edge, t.focus, t.bad, t.text, t.quiet})
                CHECK(contrast(edge, ground) >= 3);
            for (const Color line : t.line) CHECK(contrast(line, ground) >= 3);
        }
        CHECK(contrast(t.control_edge, t.control) >= 3);
        CHECK(contrast(t.chosen, t.panel) >= 3);  // what is lit against what is not
        CHECK(contrast(t.chosen, t.page) >= 3);
    }
}

}  // namespace
}  // namespace fettle::app::ui
