#include "core/profile/layout.hpp"

#include <doctest/doctest.h>

#include <cstdio>
#include <cstdlib>
#include <sstream>
#include <string>

#include "core/profile/evdev_codes.hpp"

using namespace fettle;
using profile::Stroke;
using profile::XkbLayout;

namespace {

std::unique_ptr<XkbLayout> layout(const char* name, const char* variant = "") {
    auto loaded = XkbLayout::load({name, variant});
    REQUIRE(loaded.has_value());
    return std::move(*loaded);
}

/// Rows that `xkbcli how-to-type` prints for a character: "KEYCODE ... [ MODIFIERS ]"; empty where it is not
/// installed.
std::string how_to_type(const char* layout_name, char character) {
    const std::string command = std::string("xkbcli how-to-type --layout ") + layout_name + " " +
                                std::to_string(static_cast<int>(character)) + " 2>/dev/null";
    std::string out;
    if (FILE* pipe = popen(command.c_str(), "r")) {
        char buffer[256];
        while (std::fgets(buffer, sizeof buffer, pipe) != nullptr) out += buffer;
        pclose(pipe);
    }
    return out;
}

/// The stroke as that tool would write it: X key code, then its modifiers.
bool agrees(const std::string& rows, Stroke stroke) {
    const int code = profile::evdev_code(stroke.usage) + 8;
    std::string wanted = "[ ";
    if ((stroke.modifiers & 0x02) != 0) wanted += "Shift ";
    if ((stroke.modifiers & 0x40) != 0) wanted += "Mod5 ";
    wanted += "]";
    std::istringstream lines(rows);
    for (std::string line; std::getline(lines, line);)
        if (std::atoi(line.c_str()) == code && line.find(wanted) != std::string::npos) return true;
    return false;
}

}  // namespace

// Source: xkeyboard-config's symbols as libxkbcommon's own command line tool prints them (Debian
// libxkbcommon-tools).
TEST_CASE("layout: what types each of 95 ASCII characters on four layouts agrees with xkbcli how-to-type") {
    if (how_to_type("us", 'a').empty()) {
        MESSAGE("SKIPPED: xkbcli is not installed");
        return;
    }
    int compared = 0;
    for (const char* name : {"us", "gb", "de", "fr"}) {
        const auto typed = layout(name);
        for (char c = ' '; c <= '~'; ++c) {
            const auto strokes = typed->strokes_for(std::string(1, c));
            CAPTURE(name);
            CAPTURE(c);
            REQUIRE(strokes.has_value());
            if (strokes->size() != 1) continue;  // a dead key and Space: below
            CHECK(agrees(how_to_type(name, c), strokes->front()));
            ++compared;
        }
    }
    CHECK(compared >= 4 * 90);
}

// Source: DIN 2137 key engravings as xkeyboard-config has them: Q carries @ on its third level, 2 carries "
// on Shift.
TEST_CASE(
    "layout: on a German keyboard @ is AltGr and Q, and what types @ on an American one types a quotation "
    "mark") {
    const auto de = layout("de"), us = layout("us");
    CHECK(de->strokes_for("@") == std::vector<Stroke>{{0x40, 0x14}});
    const auto us_at = us->strokes_for("@");
    CHECK(us_at == std::vector<Stroke>{{0x02, 0x1F}});
    CHECK(de->text_for(us_at->front()) == "\"");
}

TEST_CASE("layout: a character on a dead key is typed with Space after it") {
    const auto de = layout("de");
    CHECK(de->strokes_for("^") == std::vector<Stroke>{{0, 0x35}, {0, 0x2C}});
    CHECK(layout("de", "nodeadkeys")->strokes_for("^") == std::vector<Stroke>{{0, 0x35}});
}

TEST_CASE("layout: characters of two, three and four bytes are found or said to be missing as a whole") {
    CHECK(layout("de")->strokes_for("ä").has_value());
    CHECK(layout("de")->strokes_for("€") == std::vector<Stroke>{{0x40, 0x08}});
    CHECK_FALSE(layout("us")->strokes_for("ä").has_value());
    CHECK_FALSE(layout("us")->strokes_for("\xF0\x9F\x99\x82").has_value());
    CHECK_FALSE(layout("us")->strokes_for("ab\xC3").has_value());
}

TEST_CASE("layout: < on an American keyboard is Shift and comma, on a German one the key beside left Shift") {
    CHECK(layout("us")->strokes_for("<") == std::vector<Stroke>{{0x02, 0x36}});
    CHECK(layout("de")->strokes_for("<") == std::vector<Stroke>{{0, 0x64}});
}

TEST_CASE("layout: line feed is Enter, tab is Tab") {
    CHECK(layout("us")->strokes_for("a\n\t") == std::vector<Stroke>{{0, 0x04}, {0, 0x28}, {0, 0x2B}});
}

TEST_CASE("layout: what one stroke types is typed by that stroke again") {
    for (const char* name : {"us", "gb", "de", "fr"}) {
        const auto typed = layout(name);
        for (int usage = 0x04; usage <= 0x64; ++usage)
            for (const int modifiers : {0x00, 0x02, 0x40, 0x42}) {
                const Stroke stroke{static_cast<std::uint8_t>(modifiers), static_cast<std::uint8_t>(usage)};
                const auto text = typed->text_for(stroke);
                if (text) CHECK(typed->strokes_for(*text) == std::vector<Stroke>{stroke});
            }
    }
}

TEST_CASE("layout: one that this system does not have is an error with its name") {
    const auto missing = XkbLayout::load({"no_such_layout", ""});
    REQUIRE_FALSE(missing.has_value());
    CHECK(missing.error().code == Errc::unknown_name);
    CHECK(missing.error().detail == "no_such_layout");
    CHECK_FALSE(XkbLayout::load({"", ""}).has_value());
}
