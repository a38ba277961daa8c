#pragma once
// Draws edits with rapidcheck: mostly ones that fit the profile, some that do not.

#include "app/desk/edits.hpp"
#include "tests/profile/random_profile.hpp"
#include "tests/profile/sample.hpp"

namespace fettle::app::test {

/// One of the profile's edits; call inside rc::check.
edit::Edit random_edit(const profile::Profile& now);

}  // namespace fettle::app::test
