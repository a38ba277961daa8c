#include "app/words/device_words.hpp"

#include "core/engine/engine.hpp"

#include <fmt/format.h>

namespace fettle::app {

using wire::TrialPhase;

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

std::string proof_words(std::uint8_t proof, std::uint8_t needed, Language language) {
    const auto missing = static_cast<std::uint8_t>(needed & ~proof);
    std::string words;
    const auto add = [&](std::uint8_t bit, T text) {
        if ((missing & bit) != 0) words += (words.empty() ? "" : ", ") + std::string(text_in(language, text));
    };
    add(engine::k_proof_clicked, T::proof_click);
    add(engine::k_proof_let_go, T::proof_let_go);
    add(engine::k_proof_mode, T::proof_mode);
    return words;
}

}  // namespace fettle::app
