// The shape's half of the case table on top of press.cpp, row by row, and every pair that there can be.

#include "tests/engine/press_table.hpp"

namespace fettle::engine::press_table {
namespace {

// clang-format off
const std::vector<Row> k_shape_rows = {
    {"none, accepted, acts late", C::up, S::none, 0, true, C::down, S::open, 0, {O::accepted}, gestures(0,
     0, true)},
    {"open, holding, 1 ms before long", C::down, S::open, k_long, true, C::down, S::open, 0, {},
     gestures(51, 0, false)},
    {"open, holding, long", C::down, S::open, k_long, true, C::down, S::held, k_begin_long, {}, gestures(50,
     0, false)},
    {"open, holding, long, acts late", C::down, S::open, k_long, true, C::down, S::due_long, 0, {},
     gestures(50, 0, true)},
    {"open, holding, no long assigned", C::down, S::open, k_double, true, C::down, S::open, 0, {},
     gestures(50, 40, false)},
    {"open, up in the tick of long: short", C::down, S::open, k_long, false, C::up, S::none, k_short |
     k_end, {O::ended}, gestures(50, 0, false)},
    {"open, in a gap at long: not decided", C::down_gap, S::open, k_long, false, C::down_gap, S::open, 0,
     {}, gestures(50, 0, false, 21)},
    {"open, back from a gap after long", C::down_gap, S::open, k_long, true, C::down, S::held, k_begin_long,
     {O::bridged}, gestures(50, 0, false, 20)},
    {"open, up, double assigned", C::down, S::open, k_double, false, C::up, S::between, 0, {O::ended},
     gestures(0, 40, false)},
    {"open, up decided after double_ms: short at once", C::down_gap, S::open, k_double, false, C::up,
     S::none, k_short | k_end, {O::ended}, gestures(0, 20, false, 20)},
    {"open, up, acts late, nothing assigned", C::down, S::open, 0, false, C::up, S::none, k_short | k_end,
     {O::ended}, gestures(0, 0, true)},
    {.name = "open, limit, double assigned: short, no second awaited", .contact = C::down, .shape = S::open,
     .flags = k_double, .is_down = true, .then_contact = C::ignored, .then_shape = S::none, .signals =
     k_short | k_end, .outcomes = {O::hold_limit}, .rule = gestures(0, 40, false), .press_ms = k_now_ms -
     500, .held_ds = 4},
    {.name = "open, limit in the tick of long: long begins and ends", .contact = C::down, .shape = S::open,
     .flags = k_long, .is_down = true, .then_contact = C::ignored, .then_shape = S::none, .signals =
     k_begin_long | k_end, .outcomes = {O::hold_limit}, .rule = gestures(500, 0, false), .press_ms = k_now_ms
     - 500, .held_ds = 4},
    {"held, up", C::down, S::held, k_long, false, C::up, S::none, k_end, {O::ended}, gestures(10, 0,
     false)},
    {"due_long, down", C::down, S::due_long, k_long, true, C::down, S::due_long, 0, {}, gestures(10, 0,
     true)},
    {"due_long, up", C::down, S::due_long, k_long, false, C::up, S::none, k_begin_long | k_end, {O::ended},
     gestures(10, 0, true)},
    {"due_double, down", C::down, S::due_double, k_double, true, C::down, S::due_double, 0, {}, gestures(0,
     40, true)},
    {"due_double, up", C::down, S::due_double, k_double, false, C::up, S::none, k_begin_double | k_end,
     {O::ended}, gestures(0, 40, true)},
    {.name = "due_double, limit", .contact = C::down, .shape = S::due_double, .flags = k_double, .is_down =
     true, .then_contact = C::ignored, .then_shape = S::none, .signals = k_begin_double | k_end, .outcomes =
     {O::hold_limit}, .rule = gestures(0, 40, true), .press_ms = k_now_ms - 500, .held_ds = 4},
    {"between, up, 1 ms to go", C::up, S::between, k_double, false, C::up, S::between, 0, {}, gestures(0,
     21, false)},
    {"between, up, over: short", C::up, S::between, k_double, false, C::up, S::none, k_short | k_end, {},
     gestures(0, 20, false)},
    {"between, down in the last tick: double", C::up, S::between, k_double, true, C::down, S::held,
     k_begin_double, {O::accepted}, gestures(0, 20, false)},
    {"between, down, acts late", C::up, S::between, k_double, true, C::down, S::due_double, 0,
     {O::accepted}, gestures(0, 20, true)},
    {"between, down too late: the short press comes first", C::up, S::between, k_double, true, C::up,
     S::none, k_short | k_end, {}, gestures(0, 19, false)},
    {"between, a second press waits: the decision waits", C::waiting, S::between, k_double, true,
     C::waiting, S::between, 0, {}, [] { RuleDef r = gestures(0, 20, false); r.acceptance_ms = 51; return r;
     }()},
    {"between, the second press was too short and time is over", C::waiting, S::between, k_double, false,
     C::up, S::none, k_short | k_end, {O::too_short}, [] { RuleDef r = gestures(0, 20, false);
     r.acceptance_ms = 51; return r; }()},
    {"between, an ignored press does not hold the decision up", C::ignored, S::between, k_double, true,
     C::ignored, S::none, k_short | k_end, {}, gestures(0, 20, false)},
};
// clang-format on

TEST_CASE("press table: each of the 27 rows of the shape does what the table says") {
    CHECK(k_shape_rows.size() == 27);
    for (const Row& row : k_shape_rows) check_row(row);
}

TEST_CASE("press table: an assigned long or double leaves the press open, unless its time is 0") {
    for (const uint8_t has : {k_has_long, k_has_double}) {
        CAPTURE(has);
        PressState state = {};
        press_step(state, true, k_now_ms, gestures(50, 40, false), has, false);
        CHECK(Shape{state.shape} == Shape::open);
        state = {};
        press_step(state, true, k_now_ms, gestures(0, 0, false), has, false);
        CHECK(Shape{state.shape} == Shape::held);
    }
}

bool is_pair_of_the_table(int contact, int shape) {
    if (contact > 6 || shape > 5) return false;
    const bool is_pressed =
        contact == static_cast<int>(Contact::down) || contact == static_cast<int>(C::down_gap);
    const bool is_at_rest = shape == static_cast<int>(Shape::none) || shape == static_cast<int>(S::between);
    return is_pressed != is_at_rest;
}

TEST_CASE("press table: 24 of 42 pairs are impossible; met, they are a fault that lets go and heals") {
    int impossible = 0;
    for (int contact = 0; contact < 9; ++contact) {
        for (int shape = 0; shape < 8; ++shape) {
            for (const bool is_down : {false, true}) {
                CAPTURE(contact);
                CAPTURE(shape);
                CAPTURE(is_down);
                PressState state = {};
                state.contact = static_cast<Contact>(contact);
                state.shape = static_cast<Shape>(shape);
                const PressStep step = press_step(state, is_down, k_now_ms, rule(30, 10, 5), 0, false);
                const bool is_lawful = is_pair_of_the_table(contact, shape);
                CHECK(step.is_fault == !is_lawful);
                if (!is_lawful) {
                    impossible += contact < 7 && shape < 6 && is_down ? 1 : 0;
                    CHECK(step.signals == (shape == static_cast<int>(Shape::held) ? k_signal_end : 0));
                    CHECK(step.outcome_count == 0);
                }
                // Whatever it was: after silence it is idle again, and the next press is a press.
                for (unsigned ms = 1; ms < 100; ++ms) {
                    const auto now = static_cast<uint16_t>(k_now_ms + ms);
                    CHECK_FALSE(press_step(state, false, now, rule(30, 10, 5), 0, false).is_fault);
                }
                CHECK(press_is_idle(state));
            }
        }
    }
    CHECK(impossible == 24);
}

TEST_CASE("press table: the state of an input is at most 12 bytes, and zero is idle") {
    CHECK(sizeof(PressState) <= 12);
    CHECK(press_is_idle(PressState{}));
}

}  // namespace
}  // namespace fettle::engine::press_table
