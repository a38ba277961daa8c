#pragma once
// What an action does, what a profile does, in plain words.

#include <string>
#include <vector>

#include "app/words/texts.hpp"
#include "core/profile/model.hpp"

namespace fettle::app {

/// "moves the pointer up (motion far)", "types Control + C", ...; ready to stand after "a short press".
std::string action_words(const profile::Action& action, const profile::Profile& profile,
                         Language language = Language::english);

/// "Control + Alt + Delete".
std::string stroke_words(const profile::Stroke& stroke, Language language = Language::english);

/// "Shift and Control".
std::string modifier_words(std::uint8_t modifiers, Language language = Language::english);

/// "primary button", "primary and secondary button".
std::string button_words(std::uint8_t buttons, Language language = Language::english);

/// "page up", "volume down": keys and consumer keys as people write them.
std::string key_words(std::uint8_t usage);
std::string consumer_words(std::uint16_t usage);

/// "remote: nec address 0x5a command 0x01", "switch on line 2, closed when low".
std::string source_words(const profile::InputSource& source, Language language = Language::english);

/// Everything that a profile can type or send, a line each, nothing left out: what is shown before a profile
/// from elsewhere is pushed.
std::vector<std::string> everything_it_can_send(const profile::Profile& profile,
                                                Language language = Language::english);

/// One mode and one input of explain().
struct Explained {
    std::string mode, input;
    std::vector<std::string> gestures;  ///< "short press: ...", none: it does nothing there
};
std::vector<Explained> explain(const profile::Profile& profile, Language language = Language::english);

}  // namespace fettle::app
