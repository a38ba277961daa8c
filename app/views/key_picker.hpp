#pragma once
// Choosing a key: by pressing it, by its name, or by its number in the HID tables.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "app/ui/input.hpp"
#include "app/words/texts.hpp"
#include "core/profile/strokes.hpp"

namespace fettle::app {

/// The stroke that a caught key event is. A modifier alone gives itself; where only its kind is known, not
/// its side, the left one. Nothing: a key without a usage.
std::optional<profile::Stroke> caught_stroke(const ui::KeyEvent& event);

/// Usages whose name in the language, name in documents, or typed character contains the words; all for "".
std::vector<std::uint16_t> found_keys(Language language, std::string_view search,
                                      const profile::StrokeSource* layout);
std::vector<std::uint16_t> found_media(Language language, std::string_view search);

/// "0x28", "28": hexadecimal, least to most. Nothing otherwise.
std::optional<std::uint16_t> usage_number(std::string_view text, std::uint16_t least, std::uint16_t most);

}  // namespace fettle::app
