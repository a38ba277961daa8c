#pragma once
// From a document to a trial: what stands in the way, what it can type, the push itself.

#include <functional>
#include <string>
#include <vector>

#include "app/profile_file.hpp"
#include "core/link/session.hpp"
#include "core/profile/check.hpp"
#include "core/profile/image_compile.hpp"

namespace fettle::app {

/// What check() does not let through; empty: it may be pushed.
std::vector<profile::Finding> hindrances(const ProfileFile& file, const std::vector<std::string>& accepted);

/// The image for the device that `session` speaks with. Errors: those of profile::compile.
Result<profile::Compiled> image_for(const ProfileFile& file, const link::Session& session);

/// Reads what runs now and compares every byte. Errors: mismatch with the first offset, and those of
/// read_image.
Status compare_with_device(link::Session& session, const std::vector<std::uint8_t>& image);

}  // namespace fettle::app
