#pragma once
// One row of the case table on top of press.cpp, as data, and how it is checked.

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "core/engine/press.hpp"

namespace fettle::engine::press_table {

constexpr uint16_t k_now_ms = 7000;

// Bits of PressState::flags, as press.cpp lays them out.
constexpr uint8_t k_debouncing = 1, k_refractory = 2, k_after_limit = 4, k_long = 8, k_double = 16;

/// One row: a state, a level, the rule that differs from an empty one, and what must come of it.
struct Row {
    const char* name;
    Contact contact;
    Shape shape;
    uint8_t flags;
    bool is_down;
    Contact then_contact;
    Shape then_shape;
    uint8_t signals = 0;
    std::vector<PressOutcome> outcomes = {};
    RuleDef rule = {};
    uint16_t press_ms = k_now_ms - 50;
    uint16_t up_ms = k_now_ms - 20;
    uint16_t held_ds = 0;
    uint16_t first_up_ms = k_now_ms - 20;
    bool is_guarded = false;
};

inline RuleDef rule(uint16_t acceptance, uint16_t debounce, uint16_t bridge, uint16_t refractory = 0) {
    RuleDef r = {};
    r.acceptance_ms = acceptance;
    r.debounce_ms = debounce;
    r.bridge_ms = bridge;
    r.refractory_ms = refractory;
    r.longest_hold_ds = 5;
    return r;
}

inline RuleDef gestures(uint16_t long_ms, uint16_t double_ms, bool acts_late, uint16_t bridge = 0) {
    RuleDef r = rule(0, 0, bridge);
    r.long_ms = long_ms;
    r.double_ms = double_ms;
    r.flags = acts_late ? k_rule_act_on_release : 0;
    return r;
}

constexpr uint8_t k_short = k_signal_begin_short, k_end = k_signal_end;
using C = Contact;
using S = Shape;
using O = PressOutcome;

constexpr uint8_t k_begin_long = k_signal_begin_long, k_begin_double = k_signal_begin_double;

inline PressState state_of(const Row& row) {
    PressState state = {};
    state.contact = row.contact;
    state.shape = row.shape;
    state.flags = row.flags;
    state.press_ms = row.press_ms;
    state.up_ms = row.up_ms;
    const bool is_accepted = row.contact == Contact::down || row.contact == Contact::down_gap;
    (is_accepted ? state.held_ds : state.first_up_ms) = is_accepted ? row.held_ds : row.first_up_ms;
    return state;
}

inline void check_row(const Row& row) {
    CAPTURE(std::string(row.name));
    PressState state = state_of(row);
    const PressStep step = press_step(state, row.is_down, k_now_ms, row.rule, 0, row.is_guarded);
    CHECK_FALSE(step.is_fault);
    CHECK(Contact{state.contact} == row.then_contact);
    CHECK(Shape{state.shape} == row.then_shape);
    CHECK(step.signals == row.signals);
    CHECK(std::vector<PressOutcome>(step.outcomes, step.outcomes + step.outcome_count) == row.outcomes);
}

}  // namespace fettle::engine::press_table
