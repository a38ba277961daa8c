#include "app/shell/pointer_queue.hpp"

#include <doctest/doctest.h>

#include <random>
#include <utility>
#include <vector>

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

TEST_CASE("pointer: 10000 random events: every change of the button and every detent is seen, where it was") {
    std::mt19937 random(7);
    PointerQueue queue;
    std::vector<std::pair<bool, ui::Point>> told, seen;
    bool is_down = false, was_down = false;
    ui::Point place{-1, -1};
    float wheel_told = 0, wheel_seen = 0;
    const auto look = [&] {
        const PointerNow now = queue.take_frame();
        wheel_seen += now.wheel;
        if (now.primary_down != was_down) seen.push_back({now.primary_down, now.place});
        was_down = now.primary_down;
    };
    for (int i = 0; i < 10000; ++i) {
        switch (random() % 4) {
            case 0: queue.on_move(place = {static_cast<float>(random() % 1280), 7}); break;
            case 1:
                is_down = !is_down;
                queue.on_button(is_down);
                told.push_back({is_down, place});
                break;
            case 2:
                queue.on_wheel(1);
                wheel_told += 1;
                break;
            default: look();
        }
    }
    for (int frames = 0; queue.has_more() && frames < 10000; ++frames) look();
    CHECK(told.size() > 1000);
    CHECK(seen == told);
    CHECK(wheel_seen == wheel_told);
}

TEST_CASE("pointer: out of the window it is nowhere") {
    PointerQueue queue;
    queue.on_move({5, 5});
    queue.on_leave();
    CHECK(queue.take_frame().place == ui::Point{-1, -1});
}

}  // namespace fettle::app
