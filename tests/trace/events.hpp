#pragma once
// Events for tests of rolls, and random rolls with everything in them that a device could tell: seeded, and
// the same for the same seed.

#include <cstdint>
#include <initializer_list>

#include "core/trace/roll.hpp"

namespace fettle::test {

engine::Event event(engine::EventKind kind, std::initializer_list<int> data);
engine::Event level(int input, bool is_down);
engine::Event press(int input, engine::PressOutcome outcome);
/// mode, inputs down; scale 1000 permille.
engine::Event snapshot(int mode, std::uint32_t down);
engine::Event pointer(int x, int y, int buttons = 0);
engine::Event keyboard(int modifiers, int usage);
engine::Event infrared(int protocol, bool is_repeat, std::uint32_t code);
engine::Event lost(int count);

/// How a random roll is made.
struct Mix {
    std::uint32_t seed = 1;
    std::size_t count = 1000;
    std::int64_t longest_step_us = 2000;
    std::int64_t most_slip_us = 300;  ///< how far an event may lie before the one before it
    int gaps_permille = 5;            ///< of append_gap() and of `lost`, each
    int snapshots_permille = 10;
    bool begins_with_snapshot = true;
};
trace::Roll random_roll(const Mix& mix);
/// The same events as a plain list.
trace::Recording random_moments(const Mix& mix);

}  // namespace fettle::test
