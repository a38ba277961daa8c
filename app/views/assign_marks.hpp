#pragma once
// The findings on the screen: marks, sentences, buttons that mend.

#include <functional>

#include "app/views/assign_findings.hpp"
#include "app/views/assign_parts.hpp"

namespace fettle::app {

using WhichFindings = std::function<bool(const profile::Finding&)>;

/// The worst of them: problem, warning, or hint where there is none.
ui::NoteKind worst_of(const Assign& a, const WhichFindings& which);
int count_of(const Assign& a, const WhichFindings& which);
/// Each with its sentence and what mends it.
void findings_part(Assign& a, const WhichFindings& which);
/// "problems: 2, warnings: 1", "" when there is none.
std::string count_words(const Assign& a, const WhichFindings& which);

/// What was made before, if profile, findings and language are still the same; else all anew.
AssignState::Made& made_of(Assign& a);
/// A cell's face, made by `words` when it is first shown.
const AssignFace& face_of(Assign& a, AssignState::Made& made, const std::string& id,
                          const WhichFindings& which, const std::function<AssignFace()>& words);

}  // namespace fettle::app
