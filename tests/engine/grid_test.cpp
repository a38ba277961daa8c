// The typing grid: the mark walks, wraps, and picks.

#include <doctest/doctest.h>

#include "tests/engine/rig.hpp"

using namespace fettle::engine;
using namespace fettle::engine::testing;

namespace {
/// 3 rows of 2: a b / c ctrl+d / empty E. Switches 1 to 4 go up, right, down, left; 5 picks; 6 latches Shift.
struct Letters {
    Profile p;
    std::uint8_t up, right, down, left, pick, shift;
    explicit Letters(std::uint8_t repeat_plus_one = 0) {
        p.grid_rows = 3;
        p.grid_columns = 2;
        p.grid = {0x04, 0x05, 0x06, k_stroke_modified, 0x01, 0x07, k_stroke_none, 0x88};
        up = p.add_switch(1);
        right = p.add_switch(2);
        down = p.add_switch(3);
        left = p.add_switch(4);
        pick = p.add_switch(5);
        shift = p.add_switch(6);
        p.assign(0, up, grid_move(Direction::up, repeat_plus_one));
        p.assign(0, right, grid_move(Direction::right, repeat_plus_one));
        p.assign(0, down, grid_move(Direction::down, repeat_plus_one));
        p.assign(0, left, grid_move(Direction::left, repeat_plus_one));
        p.assign(0, pick, grid_pick());
        p.assign(0, shift, latch(0x02));
    }
};
void is_at(Rig& rig, int row, int column) {
    CHECK(int{rig.engine.state().grid_row} == row);
    CHECK(int{rig.engine.state().grid_column} == column);
}
}  // namespace

TEST_CASE("grid: the mark walks 3 rows of 2 and wraps at each edge") {
    Letters l;
    Rig rig(l.p);
    is_at(rig, 0, 0);
    rig.press(l.up, 20);
    is_at(rig, 2, 0);
    rig.press(l.left, 20);
    is_at(rig, 2, 1);
    rig.press(l.down, 20);
    is_at(rig, 0, 1);
    rig.press(l.right, 20);
    is_at(rig, 0, 0);
    const std::vector<Event> told = rig.of(EventKind::grid);
    REQUIRE(told.size() == 4);
    CHECK(int{told[0].data[0]} == 2);
    CHECK(int{told[1].data[1]} == 1);
}

TEST_CASE("grid: pick types what stands under the mark, cells of 3 bytes before and under it counted right") {
    Letters l;
    Rig rig(l.p);
    rig.press(l.pick, 20);
    rig.press(l.right, 20);
    rig.press(l.pick, 20);
    rig.press(l.down, 20);
    rig.press(l.pick, 20);
    rig.press(l.down, 20);
    rig.press(l.pick, 20);
    rig.run(50);
    CHECK(rig.typed() == "04 05 01+07 02+08");
}

TEST_CASE("grid: an empty cell is refused and types nothing") {
    Letters l;
    Rig rig(l.p);
    rig.press(l.up, 20);
    rig.press(l.pick, 20);
    CHECK(rig.count(EventKind::action, l.pick, 5) == 1);
    CHECK(rig.action_story() == "begin 1, end 1, refused 5");
}

TEST_CASE("grid: a latched Shift goes with the picked letter") {
    Letters l;
    Rig rig(l.p);
    rig.press(l.shift, 20);
    rig.press(l.pick, 20);
    rig.press(l.pick, 20);
    rig.run(30);
    CHECK(rig.typed() == "02+04 04");
}

TEST_CASE("grid: Caps Lock makes picked letters large by itself, Shift is not turned round") {
    Letters l;
    Rig rig(l.p);
    rig.leds = k_led_caps;
    rig.press(l.pick, 20);
    rig.run(30);
    CHECK(rig.typed() == "04");
}

TEST_CASE("grid: with repeat the mark walks on after 500 ms, every 100 ms") {
    Letters l(1);
    Rig rig(l.p);
    rig.press(l.down, 750);
    is_at(rig, 1, 0);  // 4 steps in 3 rows
    CHECK(rig.count(EventKind::grid) == 4);
}

TEST_CASE("grid: a pick waits for a busy storage and is not lost") {
    Letters l;
    Rig rig(l.p);
    bool is_busy = true;
    rig.stored().is_busy = [&] { return is_busy; };
    rig.press(l.pick, 20);
    rig.run(30);
    CHECK(rig.typed() == "");
    is_busy = false;
    rig.run(30);
    CHECK(rig.typed() == "04");
}

TEST_CASE("grid: a storage that refuses in the middle of the grid types once, not twice") {
    Letters l;
    Rig rig(l.p);
    rig.press(l.down, 20);
    rig.press(l.right, 20);
    int asked = 0;
    rig.stored().is_busy = [&] { return ++asked % 7 == 0; };
    rig.press(l.pick, 20);
    rig.run(200);
    CHECK(rig.typed() == "01+07");
    CHECK(rig.count(EventKind::gesture, l.pick, 0) == 1);
}

TEST_CASE("grid: without a grid, moving and picking are refused; diagonals always are") {
    Profile p;
    const auto mover = p.add_switch(1);
    const auto picker = p.add_switch(2);
    p.assign(0, mover, grid_move(Direction::up));
    p.assign(0, picker, grid_pick());
    Rig rig(p);
    rig.press(mover, 20);
    rig.press(picker, 20);
    CHECK(rig.action_story() == "refused 1, refused 2");

    Letters l;
    Stored stored(l.p);
    Grid grid;
    grid.reset();
    for (const Direction d :
         {Direction::up_right, Direction::down_right, Direction::down_left, Direction::up_left})
        CHECK_FALSE(grid.move(stored.setup, d));
    CHECK(int{grid.row()} == 0);
    CHECK(int{grid.column()} == 0);
}
