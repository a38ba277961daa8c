#pragma once
// From an input's level to presses and gestures: one state machine an input, all of its rules in one file
// (press.cpp).

#include "core/engine/event.hpp"
#include "core/engine/setup.hpp"

namespace fettle {
namespace engine {

/// What one step of an input's machine asks for, as bits; `begin_*` comes before `end` when both are set (a
/// press that is acted on when it is over begins and ends in one step).
constexpr uint8_t k_signal_begin_short = 1;
constexpr uint8_t k_signal_begin_long = 2;
constexpr uint8_t k_signal_begin_double = 4;
constexpr uint8_t k_signal_end = 8;

/// Which gestures are assigned to the input in the mode at the time its press was accepted.
constexpr uint8_t k_has_long = 1;
constexpr uint8_t k_has_double = 2;

}  // namespace engine
}  // namespace fettle
