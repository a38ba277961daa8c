#pragma once
// Where a command reads and writes. Commands get it as an argument, so tests run them without a terminal.

#include <functional>
#include <istream>
#include <ostream>

namespace fettle::app {

struct Console {
    std::istream& in;
    std::ostream& out;  ///< answers
    std::ostream& err;  ///< one sentence when something could not be done
    bool is_json = false;
    bool is_interactive = false;  ///< a person types at `in`
    /// Whether a line (or the end) can be read from `in` without waiting. Empty: reading waits for it.
    std::function<bool()> has_typed{};
};

/// What the process gives back: 0 done, 1 could not, 2 wrong usage.
enum class Exit : int { done = 0, could_not = 1, wrong_usage = 2 };

}  // namespace fettle::app
