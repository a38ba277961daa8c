#pragma once
// Walks over a screen: is every control reached and worked by each way, is it large enough, does it fit?

#include <map>
#include <string>
#include <vector>

#include "tests/ui/bench.hpp"

namespace fettle::app::test {

/// Ids of the controls on the screen that can be worked now, in order.
std::vector<std::string> worked_ids(const Bench& bench);

/// What is wrong with what stands there, a line each: too small, wider than its panel, over another one,
/// without a label, an id twice.
std::vector<std::string> misplaced(const Bench& bench);

/// Controls that Tab does not come to in one round, or Shift+Tab not in another.
std::vector<std::string> missed_by_tab(Bench& bench);
/// Controls that the five directions do not reach from the first one, or from which they do not reach it.
/// Both together: from each to each.
std::vector<std::string> missed_by_directions(Bench& bench);

}  // namespace fettle::app::test
