#pragma once
// The words by which exports name kinds: never translated, never changed.

#include "core/store/entries.hpp"

namespace fettle::store {

/// "edited", "kept_on_device" ... as the enumerator is written. Thread: any.
[[nodiscard]] const char* kind_word(RevisionKind kind);
[[nodiscard]] const char* kind_word(RunKind kind);

}  // namespace fettle::store
