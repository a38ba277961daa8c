#include <doctest/doctest.h>

#include <random>
#include <set>
#include <vector>

#include "app/ui/navigator.hpp"

namespace fettle::app::ui {
namespace {

Control box(const std::string& id, Rect rect, const std::string& panel = "content") {
    Control control;
    control.id = id;
    control.rect = rect;
    control.panel = panel;
    return control;
}

/// Everything that the five directions reach from where they begin.
std::set<std::string> reached(const Registry& registry, const std::string& from) {
    std::set<std::string> seen{from};
    std::vector<std::string> open{from};
    while (!open.empty()) {
        const std::string at = open.back();
        open.pop_back();
        for (const Way way : {Way::left, Way::right, Way::up, Way::down}) {
            Navigator navigator;
            navigator.set_focus(at);
            navigator.move(registry, way);
            if (seen.insert(navigator.focus()).second) open.push_back(navigator.focus());
        }
    }
    return seen;
}

Registry window() {
    Registry r;
    r.panels = {{"top", {0, 0, 1000, 60}, 0, 0, false},
                {"side", {0, 60, 200, 540}, 0, 0, false},
                {"content", {200, 60, 800, 540}, 0, 0, false}};
    r.controls = {box("undo", {500, 8, 80, 44}, "top"), box("redo", {600, 8, 80, 44}, "top"),
                  box("one", {8, 70, 180, 44}, "side"), box("two", {8, 122, 180, 44}, "side"),
                  box("a", {210, 70, 300, 44}),         box("b", {520, 70, 100, 44}),
                  box("c", {210, 122, 100, 44}),        box("d", {210, 300, 700, 200})};
    return r;
}

TEST_CASE(
    "navigator: right goes along a row, at its end on to the next one, left at its start to the part "
    "beside") {
    Navigator navigator;
    const Registry r = window();
    navigator.set_focus("a");
    for (const char* next : {"b", "c", "d", "d"}) {
        navigator.move(r, Way::right);
        CHECK(navigator.focus() == next);
    }
    navigator.set_focus("a");
    navigator.move(r, Way::left);
    CHECK(navigator.focus() == "one");
    navigator.move(r, Way::right);
    CHECK(navigator.focus() == "a");
    navigator.move(r, Way::up);
    CHECK(navigator.focus() == "undo");
}

TEST_CASE("navigator: F6 goes round 3 parts and comes back to where the focus was in each") {
    Navigator navigator;
    const Registry r = window();
    navigator.set_focus("c");
    navigator.settle(r);
    std::vector<std::string> seen;
    for (int i = 0; i < 3; ++i) {
        navigator.step_panel(r, false);
        seen.push_back(navigator.focus());
    }
    CHECK(seen == std::vector<std::string>{"undo", "one", "c"});
    navigator.step_panel(r, true);
    CHECK(navigator.focus() == "one");
}

TEST_CASE(
    "navigator: a focus whose control is gone goes to what stands in its place, one that is not enabled "
    "stays") {
    Navigator navigator;
    Registry r = window();
    navigator.set_focus("c");
    navigator.settle(r);
    r.controls[6].is_enabled = false;
    navigator.settle(r);
    CHECK(navigator.focus() == "c");
    r.controls.erase(r.controls.begin() + 6);
    navigator.settle(r);
    CHECK(navigator.focus() == "d");
    r.controls.pop_back();
    navigator.settle(r);
    CHECK(navigator.focus() == "b");
    Navigator fresh;
    fresh.settle(r);
    CHECK(fresh.focus() == "a");  // the content first
}

TEST_CASE("navigator: where the next control lies more than 3/4 of a page away the panel scrolls first") {
    Registry r;
    r.panels = {{"content", {0, 0, 400, 400}, 0, 1200, false}};
    r.controls = {box("a", {8, 8, 100, 44}), box("b", {8, 1500, 100, 44})};
    Navigator navigator;
    navigator.set_focus("a");
    navigator.move(r, Way::down);
    const auto scroll = navigator.take_scroll();
    REQUIRE(scroll.has_value());
    CHECK(scroll->by_px == doctest::Approx(300));
    CHECK(navigator.focus() == "a");
    r.controls[1].rect.y = 500;
    navigator.move(r, Way::down);
    CHECK(navigator.focus() == "b");
}

TEST_CASE("navigator: a number of two digits works its control without Enter, an unknown one is forgotten") {
    Registry r = window();
    int number = 10;
    for (Control& control : r.controls) control.number = number++;
    Navigator navigator;
    CHECK_FALSE(navigator.digit(r, 1).has_value());
    CHECK(navigator.typed() == "1");
    CHECK(navigator.digit(r, 4) == "a");
    CHECK(navigator.typed().empty());
    CHECK_FALSE(navigator.digit(r, 9).has_value());
    CHECK(navigator.typed().empty());
    r.controls[4].is_enabled = false;
    (void)navigator.digit(r, 1);
    CHECK_FALSE(navigator.digit(r, 4).has_value());
}

TEST_CASE("navigator: in 300 random panels of rows every control is reached from every other by directions") {
    std::mt19937 random(3);
    const auto below = [&](int n) { return static_cast<float>(random() % static_cast<unsigned>(n)); };
    int unreached = 0;
    for (int run = 0; run < 300; ++run) {
        Registry r;
        r.panels = {{"top", {0, 0, 1000, 60}, 0, 0, false}, {"content", {0, 60, 1000, 2000}, 0, 0, false}};
        r.controls = {box("release", {8, 8, 200, 44}, "top"), box("undo", {300, 8, 80, 44}, "top")};
        float y = 70;
        for (int row = 0; row < 6; ++row) {
            float x = 8 + below(100);
            float tallest = 0;
            for (int i = 0; i < 1 + static_cast<int>(below(6)) && x < 800; ++i) {
                const float high = 44 + below(3) * 30;
                const float wide = 44 + below(200);
                r.controls.push_back(box(std::to_string(row) + "." + std::to_string(i), {x, y, wide, high}));
                tallest = std::max(tallest, high);
                x += wide + 8;
            }
            y += tallest + 8;
        }
        for (const Control& control : r.controls)
            unreached += static_cast<int>(r.controls.size() - reached(r, control.id).size());
    }
    CHECK(unreached == 0);
}

}  // namespace
}  // namespace fettle::app::ui
