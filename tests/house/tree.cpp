#include "tests/house/tree.hpp"

#include <algorithm>
#include <fstream>
#include <map>
#include <regex>

namespace fettle::house {

namespace {

/// Arrows go one way: app -> store, advise, measure, link, trace, profile -> person, sim -> wire -> engine.
/// A room may include itself and what stands lower. Rooms of one rank know nothing of each other, with the
/// exceptions written beside them.
const std::map<std::string, int>& ranks() {
    static const std::map<std::string, int> all = {{"app", 5},  {"store", 4}, {"advise", 4},  {"measure", 4},
                                                   {"link", 4}, {"trace", 4}, {"profile", 4}, {"person", 3},
                                                   {"sim", 3},  {"wire", 2},  {"engine", 1},  {"board", 3}};
    return all;
}

bool is_freestanding(const std::string& room) {
    return room == "engine" || room == "wire" || room == "board";
}

/// The data goes link -> trace -> measure -> advise -> profile, and store keeps all of it: these arrows
/// between rooms of one rank are the loop of the design, and each goes one way.
bool is_allowed_between_equals(const std::string& from, const std::string& to) {
    static const std::set<std::pair<std::string, std::string>> allowed = {
        {"trace", "link"},     {"measure", "trace"}, {"advise", "measure"}, {"advise", "trace"},
        {"advise", "profile"}, {"store", "trace"},   {"store", "profile"},  {"store", "measure"}};
    return allowed.contains({from, to});
}

}  // namespace

std::vector<std::string> files_under(const std::filesystem::path& root, const std::string& folder,
                                     const std::vector<std::string>& endings) {
    std::vector<std::string> found;
    if (!std::filesystem::exists(root / folder)) return found;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(root / folder)) {
        const std::string name = entry.path().lexically_relative(root).generic_string();
        const bool wanted = std::any_of(endings.begin(), endings.end(),
                                        [&](const std::string& ending) { return name.ends_with(ending); });
        if (entry.is_regular_file() && wanted) found.push_back(name);
    }
    std::sort(found.begin(), found.end());
    return found;
}

std::vector<std::string> lines_of(const std::filesystem::path& file) {
    std::ifstream in(file);
    std::vector<std::string> lines;
    for (std::string line; std::getline(in, line);) lines.push_back(line);
    return lines;
}

std::string room_of(const std::string& path) {
    if (path.starts_with("app/")) return "app";
    if (!path.starts_with("core/")) return {};
    const auto end = path.find('/', 5);
    return end == std::string::npos ? std::string{} : path.substr(5, end - 5);
}

std::vector<Include> includes_of(const std::string& path, const std::vector<std::string>& lines) {
    static const std::regex include_line(R"(^\s*#\s*include\s*[<"]([^>"]+)[>"])");
    std::vector<Include> found;
    for (const auto& line : lines) {
        std::smatch match;
        if (std::regex_search(line, match, include_line))
            found.push_back({path, room_of(path), match[1].str()});
    }
    return found;
}

std::string broken_rule(const std::string& from, const std::string& target) {
    const bool is_ours =
        target.starts_with("core/") || target.starts_with("app/") || target.starts_with("tests/");
    if (!is_ours) {
        // avr/pgmspace.h: constants in flash, on the 8-bit board only, behind #if defined(__AVR__).
        static const std::set<std::string> allowed = {"stdint.h", "stddef.h", "string.h", "avr/pgmspace.h"};
        const bool is_host_header = (from == "engine" || from == "wire") && !allowed.contains(target);
        return is_host_header ? from + " is freestanding: stdint.h, stddef.h, string.h only" : "";
    }
    if (target.starts_with("tests/")) return "nothing in core or app includes tests";
    const std::string to = room_of(target);
    if (to == from) return {};
    if (from == "base") return "base includes no other room";
    if (to == "base") return is_freestanding(from) ? from + " is freestanding: base is for host rooms" : "";
    if (from == "engine") return "engine includes nothing of ours";
    if (!ranks().contains(from)) return from + " is no room of the design";
    if (!ranks().contains(to)) return to + " is no room of the design";
    if (ranks().at(to) < ranks().at(from) || is_allowed_between_equals(from, to)) return {};
    return from + " may not include " + to;
}

}  // namespace fettle::house
