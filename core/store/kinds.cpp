#include "core/store/kinds.hpp"

namespace fettle::store {

const char* kind_word(RevisionKind kind) {
    switch (kind) {
        case RevisionKind::edited: return "edited";
        case RevisionKind::kept_on_device: return "kept_on_device";
        case RevisionKind::imported: return "imported";
        case RevisionKind::restored: return "restored";
        case RevisionKind::renamed: return "renamed";
        case RevisionKind::copied: return "copied";
    }
    return "unknown";
}

const char* kind_word(RunKind kind) {
    switch (kind) {
        case RunKind::seen: return "seen";
        case RunKind::trial_began: return "trial_began";
        case RunKind::kept: return "kept";
        case RunKind::reverted: return "reverted";
        case RunKind::trial_ran_out: return "trial_ran_out";
        case RunKind::released: return "released";
        case RunKind::lost: return "lost";
    }
    return "unknown";
}

}  // namespace fettle::store
