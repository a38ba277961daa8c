#include "app/words/device_words.hpp"

#include "core/engine/engine.hpp"

#include <fmt/format.h>

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

std::string trial_words(const wire::TrialReply& trial) {
    switch (trial.phase) {
        case TrialPhase::none: return "No profile is on trial.";
        case TrialPhase::running:
        case TrialPhase::extended:
            return fmt::format("On trial, {} s left; without an answer the profile before it comes back.",
                               trial.seconds_left);
        case TrialPhase::kept: return "Kept: the device starts with this profile from now on.";
        case TrialPhase::reverted: return "Reverted: the profile before it is back.";
        case TrialPhase::refused: return "Refused.";
        case TrialPhase::expired: return "The trial ran out: the profile before it is back.";
    }
    return {};
}

std::string proof_words(std::uint8_t proof, std::uint8_t needed) {
    const auto missing = static_cast<std::uint8_t>(needed & ~proof);
    std::string words;
    const auto add = [&](std::uint8_t bit, const char* word) {
        if ((missing & bit) == 0) return;
        words += words.empty() ? "" : ", ";
        words += word;
    };
    add(engine::k_proof_clicked, "click once");
    add(engine::k_proof_let_go, "press something and let go");
    add(engine::k_proof_mode, "change the mode and come back");
    return words;
}

Answer trial_answer(const wire::TrialReply& trial) {
    return Answer::object()
        .add("phase", phase_name(trial.phase))
        .add("id", int{trial.id})
        .add("image_crc", fmt::format("{:08x}", trial.image_crc))
        .add("seconds_left", int{trial.seconds_left})
        .add("still_to_show", proof_words(trial.proof, trial.proof_needed));
}

}  // namespace fettle::app
