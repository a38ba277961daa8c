#pragma once
// What comes from a document may carry characters that a terminal obeys instead of showing: they could hide
// what a profile types.

#include <string>
#include <string_view>

namespace fettle::app {

/// Control characters other than line breaks, and marks that turn the direction of text, as "<U+001B>". All
/// else as it is. Source: Unicode 15.0, general category Cc; property Bidi_Control (061C, 200E, 200F, 202A to
/// 202E, 2066 to 2069); 2028, 2029.
std::string plain_text(std::string_view utf8);
/// The same characters in a JSON document, where they stand in strings only, as "\u001b": the same document.
/// json: without tabs and carriage returns between its values.
std::string plain_json(std::string_view json);

}  // namespace fettle::app
