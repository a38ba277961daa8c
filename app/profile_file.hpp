#pragma once
// A profile document with the keyboard layout that it names, as commands need them together.

#include <memory>
#include <string>

#include "app/program.hpp"
#include "core/profile/layout.hpp"
#include "core/profile/model.hpp"

namespace fettle::app {

struct ProfileFile {
    profile::Profile profile;
    std::unique_ptr<profile::XkbLayout> layout;  ///< nullptr: not known on this system
};

/// Errors: those of profile::load_file.
Result<ProfileFile> open_profile(const std::string& path);

/// The layout, or one that can type nothing (so that errors name the first text).
const profile::StrokeSource& strokes_of(const ProfileFile& file);

/// Lines for every error that was found, one sentence each, for a person who mends the file.
std::string all_errors(const std::string& path);

}  // namespace fettle::app
