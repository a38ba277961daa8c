#pragma once
// What the fuzzers begin with: conversations with the simulated device, as tapes.

#include <string>
#include <vector>

#include "tests/fuzz/tape.hpp"

namespace fettle::fuzz {

struct Seed {
    std::string target, name;
    Bytes tape;
};

/// Made anew from this program's device; the same each time.
std::vector<Seed> make_seeds();

}  // namespace fettle::fuzz
