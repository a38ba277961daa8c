#pragma once
// Sentences for people, made from codes. What happened, what the device does now, what to do.

#include <string>

#include "app/words/texts.hpp"
#include "core/base/result.hpp"
#include "core/profile/check.hpp"

namespace fettle::app {

/// What is known of the device when something went wrong: it decides what the middle of the sentence says.
enum class DeviceThen {
    not_involved,  ///< a file, an argument
    unchanged,     ///< the profile in use was not touched
    on_trial,      ///< a trial runs; without an answer it ends by itself
    unknown,       ///< it was lost in the middle: it starts with its kept profile
};

/// One line, ending with a full stop.
std::string sentence(const Error& error, DeviceThen device = DeviceThen::not_involved,
                     Language language = Language::english);

/// One line for a finding of check(): what is wrong, and how to mend it.
std::string sentence(const profile::Finding& finding, Language language = Language::english);

}  // namespace fettle::app
