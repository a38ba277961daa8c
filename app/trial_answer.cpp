#include "app/trial_answer.hpp"

#include <fmt/format.h>

#include "app/words/device_words.hpp"

namespace fettle::app {

using wire::TrialPhase;

namespace {

const char* phase_name(TrialPhase phase) {
    switch (phase) {
        case TrialPhase::none: return "none";
        case TrialPhase::running: return "running";
        case TrialPhase::kept: return "kept";
        case TrialPhase::reverted: return "reverted";
        case TrialPhase::refused: return "refused";
        case TrialPhase::expired: return "expired";
        case TrialPhase::extended: return "extended";
    }
    return "unknown";
}

}  // namespace

Answer trial_answer(const wire::TrialReply& trial) {
    return Answer::object()
        .add("phase", phase_name(trial.phase))
        .add("id", int{trial.id})
        .add("image_crc", fmt::format("{:08x}", trial.image_crc))
        .add("seconds_left", int{trial.seconds_left})
        .add("still_to_show", proof_words(trial.proof, trial.proof_needed));
}

}  // namespace fettle::app
