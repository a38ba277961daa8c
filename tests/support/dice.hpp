#pragma once
// Numbers that are the same everywhere and every time (the distributions of the standard library are not).

#include <cstdint>
#include <random>

namespace fettle::test {

class Dice {
public:
    explicit Dice(std::uint32_t seed) : engine_(seed) {}
    /// 0 to n - 1.
    int below(int n) { return static_cast<int>(engine_() % static_cast<unsigned>(n)); }
    int within(int least, int most) { return least + below(most - least + 1); }
    bool one_in(int n) { return below(n) == 0; }

private:
    std::mt19937 engine_;
};

}  // namespace fettle::test
