#pragma once
// The rules of check(), by subject. Each adds its findings in the order of the document.

#include "core/profile/check.hpp"

namespace fettle::profile {

void check_modes(const Profile& profile, std::vector<Finding>& findings);  ///< the graph of modes, clicks
void check_inputs(const Profile& profile,
                  std::vector<Finding>& findings);  ///< sources, double assignments, one remote
void check_holding(const Profile& profile,
                   std::vector<Finding>& findings);  ///< release everything, drags, modifiers
void check_texts(const Profile& profile, const StrokeSource* layout, std::vector<Finding>& findings);
void check_times(const Profile& profile,
                 std::vector<Finding>& findings);  ///< rules against the remote's own period

}  // namespace fettle::profile
