#pragma once
// Actions and keys in few words, in the window's language. layout: what the person's keyboard
// layout types; nullptr: not known, keys go by their names.

#include <string>

#include "app/words/texts.hpp"
#include "core/profile/strokes.hpp"
#include "core/profile/workable.hpp"

namespace fettle::app {

/// What a cell of the table says: "move up: far", "hold Control + C", "release everything".
std::string short_action_words(Language language, const profile::Action& action,
                               const profile::StrokeSource* layout = nullptr);

/// "Control and Shift".
std::string modifiers_in(Language language, std::uint8_t modifiers);
const char* modifier_in(Language language, int bit);
/// A key by what it types, else by its name: "z", "page up".
std::string key_in(Language language, std::uint8_t usage, const profile::StrokeSource* layout = nullptr);
/// A key by its name alone, as the HID tables have its place: "y" though the layout types "z" there.
std::string key_name_in(Language language, std::uint8_t usage);
std::string stroke_in(Language language, const profile::Stroke& stroke,
                      const profile::StrokeSource* layout = nullptr);
std::string media_in(Language language, std::uint16_t usage);
const char* direction_in(Language language, profile::Direction direction);

/// "short press"; the sign that stands for it in a cell.
const char* gesture_in(Language language, profile::GestureName gesture);
const char* gesture_sign(Language language, profile::GestureName gesture);

}  // namespace fettle::app
