#pragma once
// What an edit does, in plain words: for the undo control and the history. Thread: any.

#include <string>

#include "app/desk/edits.hpp"
#include "app/words/texts.hpp"

namespace fettle::app {

/// "up in far: types Control + C", "remote: acceptance 30 ms, was 0 ms". before: the profile that the edit is
/// applied to; one that it does not fit gives the edit without what it would have changed.
std::string edit_words(const edit::Edit& edit, const profile::Profile& before, Language language);

}  // namespace fettle::app
