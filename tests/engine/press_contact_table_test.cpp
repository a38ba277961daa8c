// The contact's half of the case table on top of press.cpp, row by row.

#include "tests/engine/press_table.hpp"

namespace fettle::engine::press_table {
namespace {

// clang-format off
const std::vector<Row> k_contact_rows = {
    {"up, up", C::up, S::none, 0, false, C::up, S::none},
    {"up, down while debouncing", C::up, S::none, k_debouncing, true, C::ignored, S::none, 0, {O::bounced},
     rule(0, 21, 0)},
    {"up, down when the debounce is just over", C::up, S::none, k_debouncing, true, C::down, S::held,
     k_short, {O::accepted}, rule(0, 20, 0)},
    {"up, down while refractory", C::up, S::none, k_refractory, true, C::ignored, S::none, 0,
     {O::refractory}, rule(0, 0, 0, 51)},
    {"up, down when the refractory time is just over", C::up, S::none, k_refractory, true, C::down, S::held,
     k_short, {O::accepted}, rule(0, 0, 0, 50)},
    {"up, down, debounce is named before refractory", C::up, S::none, k_debouncing | k_refractory, true,
     C::ignored, S::none, 0, {O::bounced}, rule(0, 21, 0, 51)},
    {.name = "up, down while guarded", .contact = C::up, .shape = S::none, .flags = 0, .is_down = true,
     .then_contact = C::ignored, .then_shape = S::none, .outcomes = {O::guarded}, .rule = rule(0, 0, 0),
     .is_guarded = true},
    {"up, down, no acceptance delay", C::up, S::none, 0, true, C::down, S::held, k_short, {O::accepted},
     rule(0, 0, 0)},
    {"up, down, acceptance delay", C::up, S::none, 0, true, C::waiting, S::none, 0, {}, rule(1, 0, 0)},
    {"waiting, down, 1 ms to go", C::waiting, S::none, 0, true, C::waiting, S::none, 0, {}, rule(51, 0, 0)},
    {"waiting, down, over", C::waiting, S::none, 0, true, C::down, S::held, k_short, {O::accepted}, rule(50,
     0, 0)},
    {.name = "waiting, down, over while guarded", .contact = C::waiting, .shape = S::none, .flags = 0,
     .is_down = true, .then_contact = C::ignored, .then_shape = S::none, .outcomes = {O::guarded}, .rule =
     rule(50, 0, 0), .is_guarded = true},
    {"waiting, up in the very tick it would be over", C::waiting, S::none, 0, false, C::up, S::none, 0,
     {O::too_short}, rule(50, 0, 0)},
    {"waiting, up, bridge", C::waiting, S::none, 0, false, C::waiting_gap, S::none, 0, {}, rule(50, 0, 1)},
    {"waiting_gap, down, still waiting", C::waiting_gap, S::none, 0, true, C::waiting, S::none, 0,
     {O::bridged}, rule(51, 0, 20)},
    {"waiting_gap, down, over", C::waiting_gap, S::none, 0, true, C::down, S::held, k_short, {O::bridged,
     O::accepted}, rule(50, 0, 20)},
    {"waiting_gap, up, 1 ms to go", C::waiting_gap, S::none, 0, false, C::waiting_gap, S::none, 0, {},
     rule(40, 0, 21)},
    {"waiting_gap, up, over", C::waiting_gap, S::none, 0, false, C::up, S::none, 0, {O::too_short}, rule(40,
     0, 20)},
    {"waiting_gap, down too late: the up comes first", C::waiting_gap, S::none, 0, true, C::up, S::none, 0,
     {O::too_short}, rule(40, 0, 19)},
    {"down, down", C::down, S::held, 0, true, C::down, S::held, 0, {}, rule(0, 0, 0)},
    {.name = "down, down, longest hold", .contact = C::down, .shape = S::held, .flags = 0, .is_down = true,
     .then_contact = C::ignored, .then_shape = S::none, .signals = k_end, .outcomes = {O::hold_limit}, .rule
     = rule(0, 0, 0), .press_ms = k_now_ms - 500, .held_ds = 4},
    {.name = "down, down, 1 ms before the longest hold", .contact = C::down, .shape = S::held, .flags = 0,
     .is_down = true, .then_contact = C::down, .then_shape = S::held, .rule = rule(0, 0, 0), .press_ms =
     k_now_ms - 499, .held_ds = 4},
    {.name = "down, up in the tick of the longest hold", .contact = C::down, .shape = S::held, .flags = 0,
     .is_down = false, .then_contact = C::up, .then_shape = S::none, .signals = k_end, .outcomes =
     {O::ended}, .rule = rule(0, 0, 0), .press_ms = k_now_ms - 500, .held_ds = 4},
    {"down, up, bridge", C::down, S::held, 0, false, C::down_gap, S::held, 0, {}, rule(0, 0, 1)},
    {.name = "down, up, bridge, longest hold", .contact = C::down, .shape = S::held, .flags = 0, .is_down =
     false, .then_contact = C::ignored_gap, .then_shape = S::none, .signals = k_end, .outcomes =
     {O::hold_limit}, .rule = rule(0, 0, 1), .press_ms = k_now_ms - 500, .held_ds = 4},
    {"down_gap, down", C::down_gap, S::held, 0, true, C::down, S::held, 0, {O::bridged}, rule(0, 0, 20)},
    {.name = "down_gap, down, longest hold", .contact = C::down_gap, .shape = S::held, .flags = 0, .is_down
     = true, .then_contact = C::ignored, .then_shape = S::none, .signals = k_end, .outcomes = {O::bridged,
     O::hold_limit}, .rule = rule(0, 0, 20), .press_ms = k_now_ms - 500, .held_ds = 4},
    {"down_gap, up, 1 ms to go", C::down_gap, S::held, 0, false, C::down_gap, S::held, 0, {}, rule(0, 0,
     21)},
    {"down_gap, up, over", C::down_gap, S::held, 0, false, C::up, S::none, k_end, {O::ended}, rule(0, 0,
     20)},
    {.name = "down_gap, up, longest hold", .contact = C::down_gap, .shape = S::held, .flags = 0, .is_down =
     false, .then_contact = C::ignored_gap, .then_shape = S::none, .signals = k_end, .outcomes =
     {O::hold_limit}, .rule = rule(0, 0, 21), .press_ms = k_now_ms - 500, .held_ds = 4},
    {"down_gap, down too late: the up comes first", C::down_gap, S::held, 0, true, C::up, S::none, k_end,
     {O::ended}, rule(0, 0, 19)},
    {"ignored, down", C::ignored, S::none, 0, true, C::ignored, S::none},
    {"ignored, up", C::ignored, S::none, 0, false, C::up, S::none},
    {"ignored after a limit, up", C::ignored, S::none, k_after_limit, false, C::up, S::none, 0,
     {O::really_up}},
    {"ignored, up, bridge", C::ignored, S::none, k_after_limit, false, C::ignored_gap, S::none, 0, {},
     rule(0, 0, 1)},
    {"ignored_gap, down", C::ignored_gap, S::none, k_after_limit, true, C::ignored, S::none, 0, {}, rule(0,
     0, 20)},
    {"ignored_gap, up, over", C::ignored_gap, S::none, 0, false, C::up, S::none, 0, {}, rule(0, 0, 20)},
    {"ignored_gap after a limit, up, over", C::ignored_gap, S::none, k_after_limit, false, C::up, S::none,
     0, {O::really_up}, rule(0, 0, 20)},
    {"ignored_gap, up, 1 ms to go", C::ignored_gap, S::none, k_after_limit, false, C::ignored_gap, S::none,
     0, {}, rule(0, 0, 21)},
};
// clang-format on

TEST_CASE("press table: each of the 39 rows of the contact does what the table says") {
    CHECK(k_contact_rows.size() == 39);
    for (const Row& row : k_contact_rows) check_row(row);
}

}  // namespace
}  // namespace fettle::engine::press_table
