#pragma once
// Where the window was, remembered between runs.

#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace fettle::app {

/// Unit: the window system's own, which are px on most.
struct Place {
    int x = 0, y = 0, w = 0, h = 0;
    bool operator==(const Place&) const = default;
};

inline constexpr int k_least_width = 480;
inline constexpr int k_least_height = 360;

/// "x y w h" and a newline.
std::string to_text(const Place& place);
/// Nothing for what is no place, or one smaller than the window may be.
std::optional<Place> parse_place(std::string_view text);
/// A place of which enough is seen to take hold of it: screens change between two runs. screens: their work
/// areas.
bool is_seen(const Place& place, std::span<const Place> screens);

}  // namespace fettle::app
