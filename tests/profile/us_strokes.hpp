#pragma once
// A keyboard layout for tests: the printed characters of the US layout.
// Source: HID Usage Tables, Keyboard/Keypad page 0x07, usages 0x04 to 0x38; US legends as given there.

#include <string_view>

#include "core/profile/strokes.hpp"

namespace fettle::profile {

class UsStrokes final : public StrokeSource {
public:
    std::optional<std::vector<Stroke>> strokes_for(std::string_view utf8) const override {
        std::vector<Stroke> strokes;
        for (const char c : utf8) {
            const std::size_t plain = k_plain.find(c), shifted = k_shifted.find(c);
            if (plain != std::string_view::npos)
                strokes.push_back({0, static_cast<uint8_t>(0x04 + plain)});
            else if (shifted != std::string_view::npos)
                strokes.push_back({0x02, static_cast<uint8_t>(0x04 + shifted)});
            else
                return std::nullopt;
        }
        return strokes;
    }
    std::optional<std::string> text_for(Stroke stroke) const override {
        if (stroke.usage < 0x04 || stroke.usage >= 0x04 + k_plain.size()) return std::nullopt;
        if (stroke.modifiers != 0 && stroke.modifiers != 0x02) return std::nullopt;
        const char c = (stroke.modifiers == 0 ? k_plain : k_shifted)[stroke.usage - 0x04u];
        if (c == '\n') return std::nullopt;
        return std::string(1, c);
    }

private:
    // A line feed marks a usage that types no printed character (Enter, Escape ...; 0x32 repeats 0x31).
    static constexpr std::string_view k_plain = "abcdefghijklmnopqrstuvwxyz1234567890\n\n\n\n -=[]\\\n;'`,./";
    static constexpr std::string_view k_shifted =
        "ABCDEFGHIJKLMNOPQRSTUVWXYZ!@#$%^&*()\n\n\n\n\n_+{}|\n:\"~<>?";
};

}  // namespace fettle::profile
