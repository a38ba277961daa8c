// Ticks: expected labels are worked out by hand from the rule of 1, 2 and 5; the properties are checked over
// many ranges.
#include "app/plot/axis.hpp"

#include <doctest/doctest.h>

#include <cmath>

namespace fettle::app::plot {
namespace {

/// Ten px a byte.
float ten_a_byte(std::string_view text) {
    return 10.0f * static_cast<float>(text.size());
}

std::vector<std::string> labels(const Axis& axis, float length_px) {
    std::vector<std::string> all;
    for (const Tick& tick : ticks(axis, {length_px, 10}, ten_a_byte)) all.push_back(tick.label);
    return all;
}

Axis time_axis(double from_us, double to_us) {
    return {.range = {from_us, to_us}, .quantity = Quantity::time};
}

TEST_CASE("axis: 0 to 1000 counts on 400 px has ticks every 200 counts, each with its unit") {
    const Axis axis{.range = {0, 1000}, .unit = "c"};
    CHECK(labels(axis, 400) == std::vector<std::string>{"0 c", "200 c", "400 c", "600 c", "800 c", "1000 c"});
}

TEST_CASE("axis: labels that are twice as wide as their room make the step longer, 200 becomes 500") {
    const Axis axis{.range = {0, 1000}, .unit = "c"};
    CHECK(labels(axis, 200) == std::vector<std::string>{"0 c", "500 c", "1000 c"});
}

TEST_CASE("axis: time is told in us, ms, s, min and h, by the greatest label") {
    CHECK(labels(time_axis(0, 500), 500).back() == "500 \u00b5s");
    CHECK(labels(time_axis(0, 20000), 320).back() == "20 ms");
    CHECK(labels(time_axis(0, 2e6), 320).back() == "2.0 s");
    CHECK(labels(time_axis(0, 90e6), 320).back() == "1:30 min");
    CHECK(labels(time_axis(0, 7200e6), 400).back() == "2:00:00 h");
}

TEST_CASE("axis: from a minute on ticks stand at 1, 2, 5, 10, 20 and 30 s and min, never at 25 s or 50 min") {
    for (const double span_s : {45.0, 70.0, 130.0, 400.0, 900.0, 2000.0, 5000.0, 9000.0, 40000.0}) {
        CAPTURE(span_s);
        const auto all = ticks(time_axis(0, span_s * 1e6), {600, 10}, ten_a_byte);
        REQUIRE(all.size() >= 2);
        const double step_s = std::round((all[1].at - all[0].at) / 1e6);
        const double minutes = step_s / 60, hours = step_s / 3600;
        const auto is_one_of = [](double v) {
            for (const double nice : {1.0, 2.0, 5.0, 10.0, 20.0, 30.0})
                if (v == nice) return true;
            return false;
        };
        CHECK((is_one_of(step_s) || is_one_of(minutes) || is_one_of(hours)));
    }
}

TEST_CASE("axis: hours into a recording 1 ms ticks are still told apart, 1:02:03.001 h") {
    const double from = (3600 + 120 + 3) * 1e6;
    const auto all = ticks(time_axis(from, from + 4000), {1000, 10}, ten_a_byte);
    REQUIRE(all.size() >= 2);
    for (std::size_t i = 1; i < all.size(); ++i) CHECK(all[i].label != all[i - 1].label);
    CHECK(std::any_of(all.begin(), all.end(), [](const Tick& t) { return t.label == "1:02:03.001 h"; }));
}

TEST_CASE("axis: labels never overlap and steps are 1, 2 or 5, over 3,000 ranges") {
    for (int i = 0; i < 3000; ++i) {
        CAPTURE(i);
        const double span = std::pow(10.0, -3 + (i % 300) * 0.04);
        const double from = span * std::sin(i) * 3;
        const Axis axis{.range = {from, from + span}, .unit = "counts"};
        const TickRoom room{static_cast<float>(80 + i % 700), 8};
        const auto all = ticks(axis, room, ten_a_byte);
        CHECK(all.size() <= 200);
        for (const Tick& tick : all)
            CHECK((tick.at >= from - span * 1e-5 && tick.at <= from + span * 1.00001));
        if (all.size() < 2) continue;
        const double step = all[1].at - all[0].at;
        const double mantissa = step / std::pow(10.0, std::floor(std::log10(step) + 1e-6));
        CHECK((std::abs(mantissa - 1) < 1e-3 || std::abs(mantissa - 2) < 1e-3 ||
               std::abs(mantissa - 5) < 1e-3));
        for (std::size_t k = 1; k < all.size(); ++k) {
            const double px = (all[k].at - all[k - 1].at) / span * static_cast<double>(room.length_px);
            CHECK(px + 0.01 >=
                  static_cast<double>(ten_a_byte(all[k].label) + ten_a_byte(all[k - 1].label)) / 2 + 8);
        }
    }
}

TEST_CASE("axis: presses are counted whole, 0 to 3 has no tick at 0.5") {
    const Axis axis{.range = {0, 3}, .only_whole = true};
    CHECK(labels(axis, 900) == std::vector<std::string>{"0", "1", "2", "3"});
}

TEST_CASE("axis: an upright axis of 100 px has at most 4 labels of 20 px with 5 px between them") {
    const Axis axis{.range = {0, 100}};
    const auto all = ticks(axis, {100, 5, true, 20}, ten_a_byte);
    CHECK(all.size() >= 2);
    CHECK(all.size() <= 4);
}

TEST_CASE("axis: an empty, a backward and an endless range have no ticks") {
    CHECK(ticks({.range = {1, 1}}, {100, 5}, ten_a_byte).empty());
    CHECK(ticks({.range = {2, 1}}, {100, 5}, ten_a_byte).empty());
    CHECK(ticks({.range = {0, INFINITY}}, {100, 5}, ten_a_byte).empty());
    CHECK(ticks({.range = {0, 1}}, {0, 5}, ten_a_byte).empty());
}

TEST_CASE("axis: values in words are as fine as asked, with the language's point, and there is no -0") {
    Axis axis = time_axis(0, 4e6);
    CHECK(value_words(axis, 1234567, 1000) == "1.235 s");
    CHECK(value_words(axis, 123456, 1000) == "123 ms");
    CHECK(value_words(axis, 125e6, 1e6) == "2:05 min");
    axis.decimal_point = ',';
    CHECK(value_words(axis, 1234567, 10000) == "1,23 s");
    CHECK(value_words({.range = {0, 1}, .unit = "counts"}, -0.2, 1) == "0 counts");
}

TEST_CASE("axis: a scale from 0 has a round end at least 5 % above the greatest value") {
    for (const double most : {0.4, 1.0, 7.0, 19.0, 99.0, 100.0, 1280.0, 250000.0}) {
        CAPTURE(most);
        const Range range = from_zero(most);
        CHECK(range.from == 0);
        CHECK(range.to >= most * 1.05);
        CHECK(range.to <= most * 1.5);
    }
    CHECK(from_zero(0) == Range{0, 1});
    CHECK(from_zero(-3) == Range{0, 1});
}

}  // namespace
}  // namespace fettle::app::plot
