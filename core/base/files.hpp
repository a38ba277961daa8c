#pragma once
// Whole files in, whole files out. A file that was saved is there; one that could not be saved is the old
// one.

#include <cstddef>
#include <string>
#include <string_view>

#include "core/base/file_system.hpp"
#include "core/base/result.hpp"

namespace fettle {

/// The whole content. `limit`: most bytes that are read. Thread: any.
/// Errors: not_found, denied, too_large (nothing beyond the limit was read), io (a folder, too).
[[nodiscard]] Result<std::string> read_file(const std::string& path, size_t limit,
                                            FileSystem& files = system_files());

enum class Privacy {
    as_before,  ///< the permissions of the file it replaces; a new file follows the umask
    only_me,    ///< 0600: about a person
};

/// Writes a temporary file beside `path`, syncs it, renames it over `path`, syncs the folder.
/// At every instant, a lost power or a kill included, `path` holds its old content or `content`, whole; when
/// this has returned Done it holds `content` through a power cut. Follows a symbolic link. A file without any
/// write permission is left alone. Thread: any; two writers of one path: one of the two contents, whole.
/// Errors: denied, disk_full, not_found (no such folder), io. An error of the very last step (the folder's
/// sync) is reported although the new content is in place.
[[nodiscard]] Status save_file(const std::string& path, std::string_view content,
                               Privacy privacy = Privacy::as_before, FileSystem& files = system_files());

/// Makes the folder and those above it that are missing, with mode 0700. Errors: denied, disk_full, io.
[[nodiscard]] Status make_folder(const std::string& path);

/// The error for a negative errno value of FileSystem. `where`: the file.
[[nodiscard]] Unexpected file_failure(int negative_errno, const std::string& where);

}  // namespace fettle
