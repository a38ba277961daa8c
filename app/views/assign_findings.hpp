#pragma once
// Where a finding of check() belongs on the screen, and what mends it. Pure functions of the profile.

#include <optional>
#include <string>
#include <vector>

#include "app/views/assign_state.hpp"
#include "core/profile/check.hpp"
#include "core/profile/strokes.hpp"

namespace fettle::app {

enum class Spot : std::uint8_t { whole, mode, cell, input, text, grid_cell, layout, rules, motion, variant };

struct FindingPlace {
    Spot spot = Spot::whole;
    std::string name;   ///< of the mode, input, text, rule set, motion or variant; a cell's input
    std::string mode;   ///< a cell's mode
    std::string owner;  ///< the variant that a rule set or motion stands in; "" : the profile as it stands
    std::optional<profile::GestureName> gesture;
    int row = 0, column = 0;
};
/// Reads `where`. A pointer to what is not there gives Spot::whole.
FindingPlace place_of(const profile::Profile& profile, const profile::Finding& finding);

/// What the table marks. A finding that belongs to press rules marks the inputs that go by them; to a motion,
/// text, grid or variant, the cells that use it.
bool concerns_cell(const profile::Profile& profile, const profile::Finding& finding, const std::string& mode,
                   const std::string& input);
bool concerns_input(const profile::Profile& profile, const profile::Finding& finding,
                    const std::string& input);
bool concerns_mode(const profile::Profile& profile, const profile::Finding& finding, const std::string& mode);

/// The same fault in the same place, whatever its numbers.
bool is_same(const profile::Finding& a, const profile::Finding& b);

/// Where a person goes to mend it, and edits that are known to: each was tried, removes the finding and
/// brings no lock-out that was not there. Best first; at most three edits.
std::vector<AssignMend> mends_for(Language language, const profile::Profile& profile,
                                  const profile::StrokeSource* layout, const profile::Finding& finding);

}  // namespace fettle::app
