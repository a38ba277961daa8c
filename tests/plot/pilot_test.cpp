#include "app/plot/pilot.hpp"

#include <doctest/doctest.h>

#include <random>

namespace fettle::app::plot {
namespace {

constexpr ui::Rect k_inner{100, 0, 1000, 300};
constexpr PilotLimits k_limits{.all = {0, 1000}, .least_span = 10, .step = 1};

ui::KeyEvent key(ui::Key which, bool shift = false) {
    ui::KeyEvent event;
    event.key = which;
    event.shift = shift;
    return event;
}

ui::Canvas entered(std::vector<ui::KeyEvent> keys) {
    ui::Canvas canvas;
    canvas.is_focused = canvas.is_entered = true;
    canvas.keys = std::move(keys);
    return canvas;
}

std::optional<Moved> press(PilotState& state, std::vector<ui::KeyEvent> keys,
                           std::span<const Threshold> thresholds = {}) {
    return work(state, k_limits, entered(std::move(keys)), k_inner, thresholds);
}

TEST_CASE("pilot: the crosshair begins in the middle, arrows move it by 1, with shift by 10") {
    PilotState state;
    press(state, {key(ui::Key::right)});
    CHECK(state.cursor == 500.0);
    press(state, {key(ui::Key::right), key(ui::Key::right)});
    CHECK(state.cursor == 502.0);
    press(state, {key(ui::Key::left, true)});
    CHECK(state.cursor == 492.0);
    press(state, {key(ui::Key::home)});
    CHECK(state.cursor == 0.0);
    press(state, {key(ui::Key::left)});
    CHECK(state.cursor == 0.0);
    press(state, {key(ui::Key::end)});
    CHECK(state.cursor == 1000.0);
}

TEST_CASE("pilot: entering shows the crosshair at once, so that there is something to be told") {
    PilotState state;
    ui::Canvas canvas = entered({});
    canvas.was_activated = true;
    work(state, k_limits, canvas, k_inner);
    CHECK(state.cursor == 500.0);
}

TEST_CASE("pilot: one pixel of a wide view is a step, a multiple of the least one") {
    PilotState state{.cursor = 0.0};
    const PilotLimits wide{.all = {0, 100000}, .least_span = 10, .step = 7};
    work(state, wide, entered({key(ui::Key::right)}), k_inner);
    CHECK(state.cursor == 105.0);
}

TEST_CASE("pilot: + halves what is seen about the crosshair, - brings it back, page keys go half a width") {
    PilotState state{.cursor = 200.0};
    press(state, {key(ui::Key::plus)});
    CHECK(view_of(state, k_limits) == Range{100, 600});
    press(state, {key(ui::Key::page_down)});
    CHECK(view_of(state, k_limits) == Range{350, 850});
    CHECK(state.cursor == 350.0);
    press(state, {key(ui::Key::page_down), key(ui::Key::page_down)});
    CHECK(view_of(state, k_limits) == Range{500, 1000});
    press(state, {key(ui::Key::minus)});
    CHECK(view_of(state, k_limits) == Range{0, 1000});
    CHECK_FALSE(state.view);
}

TEST_CASE("pilot: nothing closer than the least span of 10 is shown, and never beyond the ends") {
    PilotState state{.cursor = 999.0};
    for (int i = 0; i < 20; ++i) press(state, {key(ui::Key::plus)});
    CHECK(view_of(state, k_limits).span() == doctest::Approx(10));
    CHECK(view_of(state, k_limits).to <= 1000);
    CHECK(view_of(state, k_limits).contains(999));
}

TEST_CASE("pilot: the view follows a crosshair that is moved out of it") {
    PilotState state{.view = Range{100, 200}, .cursor = 199.0};
    press(state, {key(ui::Key::right, true)});
    REQUIRE(state.cursor);
    CHECK(*state.cursor > 199.0);
    CHECK(view_of(state, k_limits).contains(*state.cursor));
    CHECK(view_of(state, k_limits).span() == doctest::Approx(100));
}

TEST_CASE("pilot: down chooses the first threshold, arrows then move it by its own step within its limits") {
    PilotState state;
    const Threshold thresholds[] = {{.at = 300, .least = 100, .most = 320, .step = 5}};
    CHECK_FALSE(press(state, {key(ui::Key::down)}, thresholds));
    CHECK(state.chosen == 0);
    CHECK(press(state, {key(ui::Key::right)}, thresholds) == Moved{0, 305});
    CHECK(press(state, {key(ui::Key::right, true)}, thresholds) == Moved{0, 320});
    CHECK(press(state, {key(ui::Key::left), key(ui::Key::left)}, thresholds) == Moved{0, 290});
    CHECK(press(state, {key(ui::Key::home)}, thresholds) == Moved{0, 100});
    CHECK_FALSE(state.cursor);
    press(state, {key(ui::Key::down), key(ui::Key::up)}, thresholds);
    CHECK(state.chosen == -1);
    press(state, {}, {});
    CHECK(state.chosen == -1);
}

TEST_CASE("pilot: a pointer over the plot shows the crosshair there, 250 px from the left is 250") {
    PilotState state;
    ui::Canvas canvas;
    canvas.pointer = ui::Point{350, 100};
    work(state, k_limits, canvas, k_inner);
    CHECK(state.cursor == 250.0);
}

TEST_CASE("pilot: a threshold is dragged when gripped within 22 px, else the pointer leaves it alone") {
    PilotState state;
    const Threshold thresholds[] = {{.at = 300, .least = 0, .most = 900, .step = 1}};
    ui::Canvas canvas;
    canvas.pointer = ui::Point{100 + 330, 100};
    canvas.pointer_down = true;
    CHECK_FALSE(work(state, k_limits, canvas, k_inner, thresholds));
    canvas.pointer_down = false;
    work(state, k_limits, canvas, k_inner, thresholds);
    canvas.pointer = ui::Point{100 + 310, 100};
    canvas.pointer_down = true;
    CHECK(work(state, k_limits, canvas, k_inner, thresholds) == Moved{0, 310});
    canvas.pointer = ui::Point{100 + 700, 100};
    CHECK(work(state, k_limits, canvas, k_inner, thresholds) == Moved{0, 700});
    canvas.pointer_down = false;
    CHECK_FALSE(work(state, k_limits, canvas, k_inner, thresholds));
    CHECK_FALSE(state.is_dragging);
}

TEST_CASE("pilot: Control, Alt, releases, Tab and Escape change nothing") {
    PilotState state{.view = Range{100, 300}, .cursor = 200.0};
    const PilotState before = state;
    std::vector<ui::KeyEvent> keys{key(ui::Key::tab), key(ui::Key::escape), key(ui::Key::enter)};
    keys.push_back(key(ui::Key::right));
    keys.back().control = true;
    keys.push_back(key(ui::Key::right));
    keys.back().alt = true;
    keys.push_back(key(ui::Key::right));
    keys.back().is_down = false;
    press(state, keys);
    CHECK(state == before);
}

TEST_CASE("pilot: 20,000 random keys keep view and crosshair inside and the crosshair in view") {
    std::mt19937 random(3);
    constexpr ui::Key k_keys[] = {ui::Key::left, ui::Key::right, ui::Key::home,    ui::Key::end,
                                  ui::Key::plus, ui::Key::minus, ui::Key::page_up, ui::Key::page_down};
    PilotState state;
    for (int i = 0; i < 20000; ++i) {
        CAPTURE(i);
        press(state, {key(k_keys[random() % 8], random() % 2 == 0)});
        const Range view = view_of(state, k_limits);
        REQUIRE(view.from >= 0);
        REQUIRE(view.to <= 1000.000001);
        REQUIRE(view.span() >= 9.999);
        if (!state.cursor) continue;
        REQUIRE(*state.cursor >= view.from - 1.0001);
        REQUIRE(*state.cursor <= view.to + 1.0001);
    }
}

}  // namespace
}  // namespace fettle::app::plot
