#pragma once
// An input read from its front. What is not there any more is 0 and empty.

#include <algorithm>
#include <cstdint>
#include <vector>

#include "tests/fuzz/targets.hpp"

namespace fettle::fuzz {

using Bytes = std::vector<std::uint8_t>;

class Tape {
public:
    explicit Tape(Input input) : left_(input) {}

    bool is_empty() const { return left_.empty(); }
    std::uint8_t byte() {
        if (left_.empty()) return 0;
        const std::uint8_t first = left_[0];
        left_ = left_.subspan(1);
        return first;
    }
    std::uint16_t word() {
        const std::uint8_t low = byte();
        return static_cast<std::uint16_t>(low | byte() << 8);
    }
    /// As many as there are, at most `count`; memory of its own, so that a read past its end is seen.
    Bytes bytes(std::size_t count) {
        const auto taken = left_.first(std::min(count, left_.size()));
        left_ = left_.subspan(taken.size());
        return {taken.begin(), taken.end()};
    }
    /// A byte that says how many, and them.
    Bytes counted() {
        const std::uint8_t count = byte();
        return bytes(count);
    }

private:
    Input left_;
};

}  // namespace fettle::fuzz
