#include <doctest/doctest.h>

#include "tests/ui/bench.hpp"

namespace fettle::app::test {
namespace {

TEST_CASE("ui: Tab reaches 3 buttons in order, Enter and Space work the focused one once each") {
    int pressed[3] = {};
    Bench bench([&](ui::Ui& ui) {
        ui.panel("all", {0, 0, 600, 400});
        for (int i = 0; i < 3; ++i)
            if (ui.button("b" + std::to_string(i), "Button")) ++pressed[i];
        ui.end_panel();
    });
    bench.settle();
    CHECK(bench.ui.navigator().focus() == "b0");
    bench.press(ui::Key::enter);
    bench.press(ui::Key::tab);
    bench.press(ui::Key::space);
    bench.press(ui::Key::tab, true);
    CHECK(bench.ui.navigator().focus() == "b0");
    CHECK(pressed[0] == 1);
    CHECK(pressed[1] == 1);
    CHECK(pressed[2] == 0);
}

TEST_CASE("ui: ten presses that begin and end between two frames work a button ten times") {
    int pressed = 0;
    Bench bench([&](ui::Ui& ui) {
        ui.panel("all", {0, 0, 600, 400});
        if (ui.button("b", "Button")) ++pressed;
        ui.end_panel();
    });
    bench.settle();
    for (int i = 0; i < 10; ++i) {
        bench.key_down(ui::Key::space);
        bench.key_up(ui::Key::space);
    }
    bench.settle();
    CHECK(pressed == 10);
}

}  // namespace
}  // namespace fettle::app::test
