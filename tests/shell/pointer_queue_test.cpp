#include "app/shell/pointer_queue.hpp"

#include <doctest/doctest.h>

namespace fettle::app {

TEST_CASE("pointer: down and up between two frames are seen by two frames") {
    PointerQueue queue;
    queue.on_move({10, 20});
    queue.on_button(true);
    queue.on_button(false);
    CHECK(queue.take_frame() == PointerNow{{10, 20}, true, 0});
    CHECK(queue.has_more());
    CHECK(queue.take_frame() == PointerNow{{10, 20}, false, 0});
    CHECK_FALSE(queue.has_more());
    CHECK(queue.take_frame() == PointerNow{{10, 20}, false, 0});
}

TEST_CASE("pointer: 5 clicks between two frames are 10 changes in 10 frames") {
    PointerQueue queue;
    for (int i = 0; i < 5; ++i) {
        queue.on_button(true);
        queue.on_button(false);
    }
    int changes = 0;
    bool was_down = false;
    for (int frame = 0; frame < 10; ++frame) {
        const bool is_down = queue.take_frame().primary_down;
        changes += is_down != was_down ? 1 : 0;
        was_down = is_down;
    }
    CHECK(changes == 10);
    CHECK_FALSE(queue.has_more());
}

TEST_CASE("pointer: a press is seen where it was, not where the pointer went since") {
    PointerQueue queue;
    queue.on_move({1, 1});
    queue.on_move({2, 2});
    queue.on_button(true);
    queue.on_move({90, 90});
    queue.on_button(false);
    CHECK(queue.take_frame() == PointerNow{{2, 2}, true, 0});
    CHECK(queue.take_frame() == PointerNow{{90, 90}, false, 0});
}

TEST_CASE("pointer: moves without a press are one frame's; the wheel adds up and is told once") {
    PointerQueue queue;
    for (int i = 0; i < 100; ++i) queue.on_move({static_cast<float>(i), 0});
    queue.on_wheel(1);
    queue.on_wheel(-3);
    CHECK(queue.take_frame() == PointerNow{{99, 0}, false, -2});
    CHECK(queue.take_frame() == PointerNow{{99, 0}, false, 0});
}

TEST_CASE("pointer: the button told twice as it was is no change and ends no frame") {
    PointerQueue queue;
    queue.on_button(false);
    queue.on_button(false);
    queue.on_move({5, 5});
    CHECK(queue.take_frame() == PointerNow{{5, 5}, false, 0});
    CHECK_FALSE(queue.has_more());
}

TEST_CASE("pointer: out of the window it is nowhere") {
    PointerQueue queue;
    queue.on_move({5, 5});
    queue.on_leave();
    CHECK(queue.take_frame().place == ui::Point{-1, -1});
}

}  // namespace fettle::app
