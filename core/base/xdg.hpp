#pragma once
// Where a person's files live. Source: XDG Base Directory Specification 0.8 (freedesktop.org), read from
// memory.

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "core/base/result.hpp"

namespace fettle {

/// Gives the value of an environment variable, or nothing when it is not set.
using Environment = std::function<std::optional<std::string>(const std::string& name)>;

/// The process's own.
[[nodiscard]] std::optional<std::string> system_environment(const std::string& name);

/// Absolute paths that end in "fettle". None is made here: see make_folder.
struct Folders {
    std::string config;  ///< settings of the program
    std::string data;    ///< people, profiles, sessions
    std::string state;   ///< log, crash note, window places
    bool operator==(const Folders&) const = default;
};

/// Errors: not_found (neither the XDG variables nor an absolute HOME). A relative path in an XDG variable is
/// ignored, as the specification asks.
[[nodiscard]] Result<Folders> own_folders(const Environment& environment = system_environment);

/// Folders that may hold what was installed with the program (profiles, schema), most important first:
/// FETTLE_ASSETS, beside the program's own file (`../share/fettle`, then the source tree's `assets`), the
/// data folders of the specification. `program`: absolute path of the running program, "" when not known.
[[nodiscard]] std::vector<std::string> asset_folders(const std::string& program,
                                                     const Environment& environment = system_environment);

/// The running program's own file, "" when the system does not tell.
[[nodiscard]] std::string own_program();

/// First of asset_folders that has `name`. Errors: not_found, with the folders that were looked at.
[[nodiscard]] Result<std::string> find_asset(const std::string& name,
                                             const std::vector<std::string>& folders);

}  // namespace fettle
