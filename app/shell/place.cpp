#include "app/shell/place.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>

namespace fettle::app {

std::string to_text(const Place& place) {
    return fmt::format("{} {} {} {}\n", place.x, place.y, place.w, place.h);
}

std::optional<Place> parse_place(std::string_view text) {
    constexpr int k_most = 1 << 16;
    std::array<int, 4> numbers{};
    const char* at = text.data();
    const char* const end = text.data() + text.size();
    for (int& number : numbers) {
        while (at != end && *at == ' ') ++at;
        const auto read = std::from_chars(at, end, number);
        if (read.ec != std::errc() || number > k_most || number < -k_most) return std::nullopt;
        at = read.ptr;
    }
    if (at == end || *at != '\n' || at + 1 != end) return std::nullopt;
    const Place place{numbers[0], numbers[1], numbers[2], numbers[3]};
    if (place.w < k_least_width || place.h < k_least_height) return std::nullopt;
    return place;
}

bool is_seen(const Place& place, std::span<const Place> screens) {
    constexpr int k_hold = 100;
    return std::any_of(screens.begin(), screens.end(), [&](const Place& screen) {
        const int wide = std::min(place.x + place.w, screen.x + screen.w) - std::max(place.x, screen.x);
        const int high = std::min(place.y + place.h, screen.y + screen.h) - std::max(place.y, screen.y);
        return wide >= k_hold && high >= k_hold && place.y >= screen.y;
    });
}

}  // namespace fettle::app
