#include "app/shell/place.hpp"

#include <doctest/doctest.h>

#include <vector>

namespace fettle::app {

TEST_CASE("place: written and read back, also left of and above the first screen") {
    for (const Place place : {Place{0, 0, 1280, 800}, Place{-1900, -30, 480, 360}}) {
        const auto back = parse_place(to_text(place));
        REQUIRE(back);
        CHECK(*back == place);
    }
}

TEST_CASE("place: a file that is no place, or a window too small to work in, is passed over") {
    for (const char* text :
         {"", "\n", "1 2 3\n", "1 2 900 700", "1 2 900 700 5\n", "a b c d\n", "1 2 479 700\n",
          "1 2 900 359\n", "99999999999 2 900 700\n", "1 2 900 700000\n", "1 2 -900 700\n"}) {
        CAPTURE(text);
        CHECK_FALSE(parse_place(text));
    }
}

TEST_CASE("place: a window is put back only where enough of it can be seen") {
    const std::vector<Place> one = {{0, 0, 1920, 1080}};
    CHECK(is_seen({100, 100, 800, 600}, one));
    CHECK(is_seen({1820, 0, 800, 600}, one));
    CHECK_FALSE(is_seen({1821, 0, 800, 600}, one));  // 99 px are left
    CHECK_FALSE(is_seen({100, 981, 800, 600}, one));
    CHECK_FALSE(is_seen({100, -1, 800, 600}, one));  // its upper edge could not be taken hold of
    CHECK_FALSE(is_seen({2000, 0, 800, 600}, one));  // on a screen that is gone
    CHECK(is_seen({2000, 0, 800, 600}, std::vector<Place>{{0, 0, 1920, 1080}, {1920, 0, 1280, 1024}}));
    CHECK_FALSE(is_seen({0, 0, 800, 600}, {}));
}

}  // namespace fettle::app
