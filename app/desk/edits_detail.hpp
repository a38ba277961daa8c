#pragma once
// Shared by the sources of edits, and by nobody else. Each changes `profile` in place; on an error it may be
// half changed and is thrown away.

#include <algorithm>
#include <string>
#include <vector>

#include "app/desk/edits.hpp"

namespace fettle::app::edit {

Status rename(profile::Profile& profile, const Rename& edit);
Status remove_input(profile::Profile& profile, const std::string& name);
Status remove_mode(profile::Profile& profile, const std::string& name);
Status remove_named(profile::Profile& profile, const RemoveNamed& edit);

/// Assignments that do nothing are left out.
void tidy(profile::Mode& mode);

/// The record of that name, nullptr if there is none.
template <typename T>
T* find(std::vector<T>& all, const std::string& name) {
    const auto at = std::find_if(all.begin(), all.end(), [&](const T& one) { return one.name == name; });
    return at == all.end() ? nullptr : &*at;
}

/// True when it was there.
template <typename T>
bool erase(std::vector<T>& all, const std::string& name) {
    const auto at = std::find_if(all.begin(), all.end(), [&](const T& one) { return one.name == name; });
    if (at == all.end()) return false;
    all.erase(at);
    return true;
}

}  // namespace fettle::app::edit
