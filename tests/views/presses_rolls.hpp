#pragma once
// Rolls made by hand for the Presses screen's tests.

#include <cstdint>
#include <vector>

#include "core/trace/roll.hpp"

namespace fettle::app::test {

/// A press of one input: went down at, stayed down. Unit: ms.
struct HandPress {
    std::int64_t at_ms = 0, long_ms = 0;
};

/// A snapshot at 0 with everything up, then the levels; heard until `end_ms`.
trace::Roll roll_of_presses(std::uint8_t input, const std::vector<HandPress>& presses, std::int64_t end_ms);

/// An event at its time, for what roll_of_presses() does not make.
void append(trace::Roll& roll, std::int64_t at_ms, engine::EventKind kind, const std::vector<int>& data);

}  // namespace fettle::app::test
