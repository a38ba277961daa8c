#pragma once
// Profile documents: JSON with a format version. Reading refuses what it does not know; writing is canonical:
// the same profile gives the same bytes, and parse(write(p)) == p for every valid profile.
// Errors: `where` is a JSON pointer (RFC 6901; line and column for text that is no JSON), `detail` is the
// value and what is allowed. Thread: any. No state.

#include <string>
#include <string_view>
#include <vector>

#include "core/base/file_system.hpp"
#include "core/base/result.hpp"
#include "core/profile/model.hpp"
#include "core/profile/tree.hpp"

namespace fettle::profile {

/// Most errors that are collected from one document.
inline constexpr std::size_t k_most_errors = 20;

/// Errors: too_large, syntax, duplicate (keys and names), version, unknown_key, missing_key, wrong_type,
/// out_of_range, unknown_name. The first one is given back; `all` (if there) gets up to k_most_errors.
Result<Profile> parse(std::string_view json, std::vector<Error>* all = nullptr);

std::string write(const Profile& profile);

/// Ranges, names, references: all that parse() checks once the values have their types. Empty: nothing wrong.
/// `where` as if the profile had been read from its written form.
std::vector<Error> validate(const Profile& profile);

/// Errors: those of read_file and of parse; `where` is prefixed by the file's path.
Result<Profile> load_file(const std::string& path, std::vector<Error>* all = nullptr,
                          FileSystem& files = system_files());
/// A temporary file, synced, then renamed over `path`. Errors: those of save_file.
Status save_file(const std::string& path, const Profile& profile, FileSystem& files = system_files());

/// The profile as a tree with its fields, in the order of the document.
Tree to_tree(const Profile& profile);
/// One action alone, for words about it.
Tree to_tree(const Action& action);

/// The JSON Schema (draft 2020-12) of the document, made from the field table.
std::string schema_json();

/// Names that a reference field may have in this profile (inputs, modes, rule sets ...); empty for others.
std::vector<std::string> names_for(const Profile& profile, const Field& field);

}  // namespace fettle::profile
