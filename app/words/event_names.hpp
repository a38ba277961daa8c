#pragma once
// What a watched device's numbers mean: inputs, modes, variants, texts and actions by the names of the
// profile that it runs. Empty: they are called by their numbers, from 1 on, as `fettle read` numbers them.

#include <cstdint>
#include <string>
#include <vector>

#include "app/words/texts.hpp"
#include "core/profile/model.hpp"

namespace fettle::app {

struct EventNames {
    std::vector<std::string> inputs, modes, variants, texts;
    std::vector<std::string> actions;  ///< in words; [0] is action number 1
    Language language = Language::english;

    std::string input(std::uint8_t index) const;    ///< "up", "input 3"
    std::string mode(std::uint8_t index) const;     ///< "mode far", "mode 2"
    std::string variant(std::uint8_t index) const;  ///< "variant tired", "variant base"
    std::string text(std::uint8_t index) const;     ///< "thanks", "text 1"
    std::string action(
        std::uint8_t number) const;  ///< "clicks the primary button once", "action 4", "nothing"
};

/// image: what compile() made of `profile`. Empty names when it cannot be loaded.
EventNames names_of(const profile::Profile& profile, const std::vector<std::uint8_t>& image,
                    Language language = Language::english);

}  // namespace fettle::app
