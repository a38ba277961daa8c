#pragma once
// What changed between two profiles, in plain words: where, old and new. Thread: any.

#include <string>

#include "app/words/texts.hpp"
#include "core/profile/diff.hpp"

namespace fettle::app {

/// "Press rules remote, acceptance: 0 ms, now 30 ms".
std::string change_words(const profile::Change& change, Language language);

/// Where it is: "Press rules remote, acceptance"; and one of its values with its unit: "30 ms".
std::string change_place(const profile::Change& change, Language language);
std::string value_words(const profile::Change& change, const std::string& value);

/// A field's name as people read it: its key without the unit. "acceptance", "long press".
std::string field_label(const profile::Field& field, Language language);

}  // namespace fettle::app
