#pragma once
// What comes from a document may carry characters that a terminal obeys instead of showing: they could hide
// what a profile types.

#include <string>
#include <string_view>

namespace fettle::app {

/// Control characters other than line breaks, and marks that turn the direction of text, as "<U+001B>". All
/// else as it is. Source: Unicode 15.0, general categories Cc and Cf of 2028 to 202E and 2066 to 2069, 200E,
/// 200F.
std::string plain_text(std::string_view utf8);

}  // namespace fettle::app
