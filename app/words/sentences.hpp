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
    cut_reading,   ///< it went while it was asked something
    cut_push,      ///< it went before a trial began, as far as is known
    cut_trial,     ///< it went while a trial ran
    cut_keep,      ///< it went before it said whether it kept
    silent_push,   ///< it is there, and did not say whether the trial began
    silent_keep,   ///< it is there, and did not say whether it kept
};

/// What the device was asked for when it went wrong.
enum class Doing {
    reading,   ///< nothing that changes a profile
    pushing,   ///< write, verify, begin the trial
    deciding,  ///< a trial runs: looked at, extended, reverted
    keeping,
};
/// What the device holds after `error` in the middle of that. Source: the contract: a trial ends with the
/// link's power, the kept profile is replaced by one byte that is written last.
DeviceThen device_then(const Error& error, Doing doing);

/// `where` of an error `duplicate` that means: more devices than one, and none was named. detail: which.
inline constexpr const char* k_several_devices = "devices";

/// One line, ending with a full stop.
std::string sentence(const Error& error, DeviceThen device = DeviceThen::not_involved,
                     Language language = Language::english);

/// One line for a finding of check(): what is wrong, and how to mend it.
std::string sentence(const profile::Finding& finding, Language language = Language::english);

}  // namespace fettle::app
