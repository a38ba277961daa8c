#pragma once
// The tree as its own tests see it: files of ours, and which room includes which.

#include <filesystem>
#include <set>
#include <string>
#include <vector>

namespace fettle::house {

struct Include {
    std::string from_file;  ///< relative to the root of the tree
    std::string from_room;  ///< "app" or a folder of core/, or "" outside both
    std::string target;     ///< as written between the quotes or brackets
    bool operator==(const Include&) const = default;
};

/// Every regular file under `root/folder` whose name ends in one of `endings`, relative to `root`, sorted.
std::vector<std::string> files_under(const std::filesystem::path& root, const std::string& folder,
                                     const std::vector<std::string>& endings);

std::vector<std::string> lines_of(const std::filesystem::path& file);

/// "core/engine/bytes.hpp" gives "engine", "app/main.cpp" gives "app", anything else "".
std::string room_of(const std::string& path);

/// The #include lines of one file's text.
std::vector<Include> includes_of(const std::string& path, const std::vector<std::string>& lines);

/// Empty when a file of room `from` may include `target`, else the rule that it breaks, in words.
std::string broken_rule(const std::string& from, const std::string& target);

}  // namespace fettle::house
