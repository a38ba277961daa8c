// What the character display shows, row by row, as text.

#include <doctest/doctest.h>

#include "tests/engine/rig.hpp"

using namespace fettle::engine;
using namespace fettle::engine::testing;

namespace {

std::string row(const Rig& rig, int number, int rows, int columns, const char* notice = nullptr) {
    std::string out(static_cast<std::size_t>(columns), '?');
    CHECK(display_row(rig.engine, static_cast<std::uint8_t>(number), static_cast<std::uint8_t>(rows),
                      static_cast<std::uint8_t>(columns), out.data(), notice));
    for (const char c : out) CHECK((c >= ' ' && c <= '~'));
    return out;
}
std::string large(const Rig& rig, int number, const char* notice = nullptr) {
    return row(rig, number, 4, 20, notice);
}
std::string small(const Rig& rig, int number, const char* notice = nullptr) {
    return row(rig, number, 2, 16, notice);
}

/// Modes far and letters; 4 rows of 12 letters with enter and space at the end.
struct Wall {
    Profile p;
    std::uint8_t right, down, changer, latcher, locker, dragger, typer, slower, letgo;
    Wall() {
        p.mode_count = 2;
        p.labels = {"far", "letters", "tired hands"};
        p.variant_count = 2;
        p.grid_rows = 4;
        p.grid_columns = 12;
        for (int i = 0; i < 46; ++i) p.grid.push_back(static_cast<std::uint8_t>(0x04 + i % 26));
        p.grid.push_back(0x28);
        p.grid.push_back(0x2C);
        p.texts = {{0x04}};
        right = p.add_switch(1);
        down = p.add_switch(2);
        changer = p.add_switch(3);
        latcher = p.add_switch(4);
        locker = p.add_switch(5);
        dragger = p.add_switch(6);
        typer = p.add_switch(7);
        slower = p.add_switch(8);
        letgo = p.add_axis(2, false, 128, 64);
        p.assign(1, right, grid_move(Direction::right));
        p.assign(1, down, grid_move(Direction::down));
        p.assign_everywhere(changer, mode(ModeStyle::next));
        p.assign_everywhere(latcher, latch(0x02));
        p.assign_everywhere(locker, latch(0x05, LatchStyle::lock));
        p.assign_everywhere(dragger, drag(1));
        p.assign_everywhere(typer, text(0));
        p.assign_everywhere(slower, scale(ScaleStyle::toggle, 250));
        p.assign_everywhere(letgo, simple(ActionKind::release_all));
    }
};
void let_go(Rig& rig) {
    rig.axis(2, 1000);
    rig.run(10);
    rig.axis(2, 0);
    rig.run(10);
    rig.take_clicks();
    rig.take_typed();
}
}  // namespace

TEST_CASE("display: 20 by 4 shows the mode and is blank where there is nothing to say") {
    Wall w;
    Rig rig(w.p);
    CHECK(large(rig, 0) == "far                 ");
    for (int r = 1; r < 4; ++r) CHECK(large(rig, r) == "                    ");
    CHECK(small(rig, 0) == "far             ");
    CHECK(small(rig, 1) == "                ");
}

TEST_CASE("display: a mode without a label shows its number, counted from 1") {
    Profile p;
    p.mode_count = 3;
    const auto in = p.add_switch(1);
    p.assign_everywhere(in, mode(ModeStyle::go_to, 2));
    Rig rig(p);
    rig.press(in, 10);
    CHECK(large(rig, 0) == "mode 3              ");
}

TEST_CASE("display: latches, locks and drags are said in words, and nothing is said when all is let go") {
    Wall w;
    Rig rig(w.p);
    rig.press(w.latcher, 20);
    CHECK(large(rig, 1) == "next shift          ");
    CHECK(small(rig, 1) == "next shift      ");
    rig.press(w.locker, 20);
    rig.run(10);
    CHECK(large(rig, 1) == "lock ctrl alt next +");
    rig.press(w.dragger, 20);
    rig.run(10);
    CHECK(large(rig, 1) == "drag lock ctrl alt +");  // and "hold shift": the drag used the latch up
    CHECK(small(rig, 1) == "drag lock ctrl +");
    let_go(rig);
    CHECK(large(rig, 1) == "                    ");
}

TEST_CASE("display: the grid's rows around the mark, the mark in brackets, 9 or 7 cells wide") {
    Wall w;
    Rig rig(w.p);
    rig.press(w.changer, 10);
    CHECK(large(rig, 0) == "letters             ");
    CHECK(large(rig, 2) == "[a]b c d e f g h i  ");
    CHECK(large(rig, 3) == " m n o p q r s t u  ");
    CHECK(small(rig, 1) == "[a]b c d e f g  ");
    rig.press(w.right, 10);
    CHECK(large(rig, 2) == " a[b]c d e f g h i  ");
    rig.press(w.down, 10);
    CHECK(large(rig, 2) == " a b c d e f g h i  ");
    CHECK(large(rig, 3) == " m[n]o p q r s t u  ");
    CHECK(small(rig, 1) == " m[n]o p q r s  ");
    for (int i = 0; i < 8; ++i) rig.press(w.right, 10);
    CHECK(large(rig, 3) == "[v]w x              ");
    CHECK(small(rig, 1) == " t u[v]w x      ");
}

TEST_CASE("display: a key that prints nothing is a star, space an underline; the top row names them") {
    Wall w;
    Rig rig(w.p);
    rig.press(w.changer, 10);
    for (int i = 0; i < 3; ++i) rig.press(w.down, 10);
    for (int i = 0; i < 10; ++i) rig.press(w.right, 10);
    CHECK(large(rig, 3) == " t[*]_              ");
    CHECK(large(rig, 0) == "letters        enter");
    rig.press(w.right, 10);
    CHECK(large(rig, 3) == " t *[_]             ");
    CHECK(small(rig, 0) == "letters    space");
}

TEST_CASE("display: 16 by 2 in the grid puts what is held above the grid, so that neither is hidden") {
    Wall w;
    Rig rig(w.p);
    rig.press(w.changer, 10);
    rig.press(w.latcher, 10);
    CHECK(small(rig, 0) == "next shift      ");
    CHECK(small(rig, 1) == "[a]b c d e f g  ");
    rig.press(w.latcher, 10);
    rig.press(w.latcher, 10);
    rig.run(10);
}

TEST_CASE("display: a notice has its own row at 4 rows and the right end of the top row at 2") {
    Wall w;
    Rig rig(w.p);
    CHECK(large(rig, 2, "trial: 43 s") == "trial: 43 s         ");
    CHECK(small(rig, 0, "trial 43") == "far     trial 43");
    rig.press(w.changer, 10);
    CHECK(large(rig, 3, "trial: 43 s") == "[a]b c d e f g h i  ");
    CHECK(small(rig, 0, "trial 43") == "letters trial 43");
    CHECK(small(rig, 0, "trial 600 s left") == "letter trial 600");
}

TEST_CASE("display: text being typed, the speed and the variant are said") {
    Wall w;
    w.p.stroke_gap_ms = 200;
    Rig rig(w.p);
    rig.press(w.slower, 10);
    CHECK(large(rig, 1) == "speed 25%           ");
    CHECK(small(rig, 1) == "speed 25%       ");
    rig.computer.is_reading = false;
    rig.press(w.typer, 10);
    CHECK(large(rig, 2) == "types 1             ");
    CHECK(small(rig, 1) == "types 1         ");
    rig.computer.is_reading = true;
    rig.run(50);
    rig.typed();
    rig.press(w.slower, 10);
    rig.load(w.p, Cause::press, true, 1);
    CHECK(large(rig, 0) == "far      tired hands");
}

TEST_CASE("display: a busy storage refuses the row, an empty engine and a row too far are blank") {
    Wall w;
    Rig rig(w.p);
    rig.stored().is_busy = [] { return true; };
    char out[20];
    CHECK_FALSE(display_row(rig.engine, 0, 4, 20, out));
    CHECK(row(rig, 4, 4, 20) == std::string(20, ' '));
    Engine empty;
    empty.start(EventSink{nullptr, nullptr});
    CHECK(display_row(empty, 0, 4, 20, out));
    CHECK(std::string(out, 20) == std::string(20, ' '));
    rig.stored().is_busy = nullptr;
}
