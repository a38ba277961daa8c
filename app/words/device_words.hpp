#pragma once
// What a device and its trial say, in plain words.

#include <string>

#include "app/words/event_names.hpp"
#include "app/words/texts.hpp"
#include "core/link/session.hpp"

namespace fettle::app {

/// One sentence on a trial: "On trial, 43 s left.", "The profile before is back." ...
std::string trial_words(const wire::TrialReply& trial);
/// What is still missing before keep is offered: "click once, let go"; empty when nothing is.
std::string proof_words(std::uint8_t proof, std::uint8_t needed, Language language = Language::english);

/// An event in words, without its time; both empty for kinds that this version does not know.
struct EventLine {
    std::string head;   ///< one word: "press", "report"
    std::string words;  ///< "input 3: accepted"
};
EventLine event_line(const engine::Event& event, const EventNames& names = {});
/// The same as one line, its words in a column.
std::string event_words(const engine::Event& event, const EventNames& names = {});
/// The event's kind as one word, as JSON answers have it.
std::string event_name(engine::EventKind kind);

}  // namespace fettle::app
