#include <doctest/doctest.h>
#include <stdlib.h>

#include <set>

#include "tests/house/tree.hpp"

namespace fettle::house {
namespace {

const std::filesystem::path k_root = FETTLE_ROOT;

std::string joined(const std::set<std::string>& names) {
    std::string all;
    for (const auto& name : names) all += name + " ";
    return all;
}

TEST_CASE("house: the top level holds exactly 5 folders, 3 papers and 2 build files") {
    const std::set<std::string> wanted = {
        "app",       "core",          "third_party",  "assets",         "tests",
        "README.md", "DEVELOPERS.md", "CHANGELOG.md", "CMakeLists.txt", "CMakePresets.json"};
    std::set<std::string> found;
    for (const auto& entry : std::filesystem::directory_iterator(k_root)) {
        const std::string name = entry.path().filename().string();
        if (!name.starts_with(".") && name != "build") found.insert(name);
    }
    CHECK(joined(found) == joined(wanted));
    CHECK(std::filesystem::exists(k_root / ".ci/run"));
}

TEST_CASE("house: no file of core and app is longer than 400 lines, tables apart") {
    for (const char* folder : {"core", "app"}) {
        for (const auto& file : files_under(k_root, folder, {".hpp", ".cpp"})) {
            if (file.find("table") != std::string::npos) continue;
            CAPTURE(file);
            CHECK(lines_of(k_root / file).size() <= 400);
        }
    }
}

TEST_CASE(
    "house: every source of core, app and tests is named in a list, so that no test is left out unseen") {
    for (const char* folder : {"core", "app", "tests"}) {
        for (const auto& file : files_under(k_root, folder, {".cpp"})) {
            const std::filesystem::path path(file);
            bool is_named = false;
            for (auto at = path.parent_path(); !at.empty() && !is_named; at = at.parent_path()) {
                const auto list = k_root / at / "CMakeLists.txt";
                if (!std::filesystem::exists(list)) continue;
                const std::string name = path.lexically_relative(at).generic_string();
                for (const auto& line : lines_of(list))
                    is_named = is_named || line.find(name) != std::string::npos;
            }
            CAPTURE(file);
            // Benchmarks are named by what they measure; compile.sh names the board's program.
            const auto folder_of = path.parent_path();
            CHECK((is_named || folder_of == "tests/bench" || folder_of == "tests/avr"));
        }
    }
}

TEST_CASE("house: no line of source is longer than 110 columns") {
    for (const char* folder : {"core", "app", "tests"}) {
        for (const auto& file : files_under(k_root, folder, {".hpp", ".cpp"})) {
            size_t number = 0;
            for (const auto& line : lines_of(k_root / file)) {
                ++number;
                CAPTURE(file);
                CAPTURE(number);
                CHECK(line.size() <= 130);  // 110 columns; a sign outside ASCII is up to 4 bytes
            }
        }
    }
}

TEST_CASE("house: every header of core and app starts with #pragma once") {
    for (const char* folder : {"core", "app"}) {
        for (const auto& file : files_under(k_root, folder, {".hpp", ".hpp.in"})) {
            CAPTURE(file);
            const auto lines = lines_of(k_root / file);
            REQUIRE_FALSE(lines.empty());
            CHECK(lines.front() == "#pragma once");
        }
    }
}

TEST_CASE("house: every sh script is read by dash without complaint") {
    size_t scripts = 0;
    for (const char* folder : {"app", "third_party", "tests", "assets"}) {
        for (const auto& file : files_under(k_root, folder, {".sh"})) {
            CAPTURE(file);
            ++scripts;
            CHECK(lines_of(k_root / file).front() == "#!/bin/sh");
            CHECK(::system(("dash -n '" + (k_root / file).string() + "'").c_str()) == 0);
        }
    }
    CHECK(scripts >= 4);
}

TEST_CASE("house: third_party and the rest of the tree hold no vendored library") {
    // Glue only: build files, lists, scripts, a paper.
    const std::set<std::string> endings = {".txt", ".cmake", ".sh", ".md", ".json"};
    for (const auto& entry : std::filesystem::recursive_directory_iterator(k_root / "third_party")) {
        CAPTURE(entry.path().string());
        if (entry.is_regular_file()) CHECK(endings.contains(entry.path().extension().string()));
    }
}

}  // namespace
}  // namespace fettle::house
