#include "app/plot/decimate.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "app/plot/clip.hpp"
#include "app/plot/dash.hpp"

namespace fettle::app::plot {
namespace {

std::vector<Sample> noise(std::size_t count) {
    std::mt19937 random(7);
    std::vector<Sample> all;
    double y = 0;
    for (std::size_t i = 0; i < count; ++i) {
        y += static_cast<double>(random() % 2001) / 1000.0 - 1.0;
        all.push_back({static_cast<double>(i) * 0.37, y});
    }
    return all;
}

/// By going through everything.
Range slow_reach(const std::vector<Sample>& all, double from, double to, bool& any) {
    Range r{1e300, -1e300};
    for (const Sample& s : all)
        if (s.x >= from && s.x < to) {
            any = true;
            r.from = std::min(r.from, s.y);
            r.to = std::max(r.to, s.y);
        }
    return r;
}

TEST_CASE(
    "decimate: 100,000 samples on 400 columns give at most 1,602, each column's least and greatest exact") {
    const auto all = noise(100000);
    const Range x{1000, 31000};
    const auto few = decimate(all, x, 400);
    CHECK(few.size() <= 4 * 400 + 2);
    for (int i = 0; i < 400; ++i) {
        CAPTURE(i);
        const double from = x.from + i * 75.0, to = from + 75.0;
        bool any = false, any_few = false;
        const Range whole = slow_reach(all, from, to, any);
        const Range shown = slow_reach(few, from, to, any_few);
        CHECK(any == any_few);
        CHECK(whole == shown);
    }
}

TEST_CASE("decimate: fewer samples than columns stay as they are, with one beyond each edge") {
    const std::vector<Sample> all{{0, 1}, {10, 2}, {20, 3}, {30, 4}, {40, 5}};
    CHECK(decimate(all, {15, 35}, 100) == std::vector<Sample>{{10, 2}, {20, 3}, {30, 4}, {40, 5}});
    CHECK(decimate(all, {0, 40}, 100) == all);
}

TEST_CASE("decimate: no samples, no columns, and a range between two samples") {
    CHECK(decimate({}, {0, 1}, 10).empty());
    const std::vector<Sample> two{{0, 1}, {10, 2}};
    CHECK(decimate(two, {0, 1}, 0).empty());
    CHECK(decimate(two, {4, 5}, 10) == two);
    CHECK(decimate(two, {20, 30}, 10) == std::vector<Sample>{{10, 2}});
}

TEST_CASE("decimate: samples of one time are one column, none is lost at the last edge") {
    const std::vector<Sample> all{{1, 5}, {1, -5}, {1, 0}, {2, 9}};
    CHECK(decimate(all, {1, 2}, 3) == all);
}

TEST_CASE("decimate: a value between samples lies on the straight line, a standing one is the last's") {
    const std::vector<Sample> all{{0, 0}, {10, 100}, {20, 0}};
    CHECK(value_at(all, 5) == 50.0);
    CHECK(value_at(all, 10) == 100.0);
    CHECK(value_at(all, 15) == 50.0);
    CHECK_FALSE(value_at(all, 20.5));
    CHECK_FALSE(value_at(all, -0.5));
    CHECK(step_at(all, 15) == 100.0);
    CHECK(step_at(all, 99) == 0.0);
    CHECK_FALSE(step_at(all, -1));
}

float length_of(const std::vector<std::vector<ui::Point>>& pieces) {
    float sum = 0;
    for (const auto& piece : pieces)
        for (std::size_t i = 1; i < piece.size(); ++i)
            sum += std::hypot(piece[i].x - piece[i - 1].x, piece[i].y - piece[i - 1].y);
    return sum;
}

TEST_CASE("dash: 300 px of 10 drawn and 5 left out are 20 pieces of 10 px, also around a corner") {
    const std::vector<ui::Point> straight{{0, 0}, {300, 0}};
    const std::vector<ui::Point> corner{{0, 0}, {153, 0}, {153, 147}};
    const DashPattern pattern{10, 5, 10, 5};
    CHECK(dashed(straight, pattern, 1).size() == 20);
    CHECK(length_of(dashed(straight, pattern, 1)) == doctest::Approx(200));
    CHECK(length_of(dashed(corner, pattern, 1)) == doctest::Approx(200));
    CHECK(dashed(straight, pattern, 3).size() == 7);
}

TEST_CASE("dash: all six patterns differ, the first is a whole line") {
    for (int a = 0; a < k_dashes; ++a)
        for (int b = a + 1; b < k_dashes; ++b) CHECK(dash_pattern(a) != dash_pattern(b));
    const std::vector<ui::Point> line{{0, 0}, {50, 0}, {90, 10}};
    CHECK(dashed(line, dash_pattern(0), 1) == std::vector<std::vector<ui::Point>>{line});
    CHECK(dashed(std::span(line).first(1), dash_pattern(0), 1).empty());
}

TEST_CASE("clip: a zigzag that leaves a 10 px square on both sides comes back as parts inside of it") {
    const ui::Rect box{0, 0, 10, 10};
    const std::vector<ui::Point> zigzag{{-5, 5}, {5, 5}, {5, 20}, {8, 20}, {8, -20}};
    const auto parts = clipped(zigzag, box);
    REQUIRE(parts.size() == 2);
    CHECK(parts[0] == std::vector<ui::Point>{{0, 5}, {5, 5}, {5, 10}});
    CHECK(parts[1] == std::vector<ui::Point>{{8, 10}, {8, 0}});
    CHECK(clipped(std::vector<ui::Point>{{20, 0}, {20, 10}}, box).empty());
    CHECK(clipped(std::vector<ui::Point>{{1, 1}, {NAN, 2}, {3, 3}}, box).empty());
}

}  // namespace
}  // namespace fettle::app::plot
