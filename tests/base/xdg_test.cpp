// Source: XDG Base Directory Specification (freedesktop.org); its defaults from memory.
#include "core/base/xdg.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <fstream>
#include <map>

#include "tests/base/folder.hpp"

namespace fettle {
namespace {

Environment environment(const std::map<std::string, std::string>& values) {
    return [values](const std::string& name) -> std::optional<std::string> {
        const auto found = values.find(name);
        if (found == values.end()) return std::nullopt;
        return found->second;
    };
}

TEST_CASE("xdg: with HOME alone the 3 folders are its defaults") {
    CHECK(own_folders(environment({{"HOME", "/home/v"}})).value() ==
          Folders{"/home/v/.config/fettle", "/home/v/.local/share/fettle", "/home/v/.local/state/fettle"});
}

TEST_CASE("xdg: 3 absolute variables win over HOME, which need not be set") {
    const auto folders = own_folders(
        environment({{"XDG_CONFIG_HOME", "/c"}, {"XDG_DATA_HOME", "/d"}, {"XDG_STATE_HOME", "/s"}}));
    CHECK(folders.value() == Folders{"/c/fettle", "/d/fettle", "/s/fettle"});
}

TEST_CASE("xdg: an empty and a relative variable are ignored") {
    const auto folders =
        own_folders(environment({{"HOME", "/h"}, {"XDG_CONFIG_HOME", ""}, {"XDG_DATA_HOME", "rel/ative"}}));
    CHECK(folders.value().config == "/h/.config/fettle");
    CHECK(folders.value().data == "/h/.local/share/fettle");
}

TEST_CASE("xdg: without HOME or with a relative one there is 1 error that names it") {
    CHECK(own_folders(environment({})).error() ==
          Error{Errc::not_found, "HOME", "not set to an absolute path"});
    CHECK(own_folders(environment({{"HOME", "here"}})).error().code == Errc::not_found);
}

TEST_CASE("xdg: assets are looked for beside the program first, then in 3 data folders") {
    const auto folders = asset_folders("/opt/f/bin/fettle", environment({{"HOME", "/h"}}));
    const std::vector<std::string> wanted = {"/opt/f/share/fettle", "/opt/assets", "/h/.local/share/fettle",
                                             "/usr/local/share/fettle", "/usr/share/fettle"};
    CHECK(std::equal(folders.begin(), folders.end(), wanted.begin(), wanted.end()));
}

TEST_CASE("xdg: the build folder's program finds the source tree's assets") {
    const auto folders = asset_folders("/src/build/release/fettle", environment({}));
    CHECK(std::count(folders.begin(), folders.end(), "/src/assets") == 1);
}

TEST_CASE("xdg: FETTLE_ASSETS comes first, relative entries of XDG_DATA_DIRS are left out") {
    const auto folders =
        asset_folders("", environment({{"FETTLE_ASSETS", "/mine"}, {"XDG_DATA_DIRS", "rel:/x:"}}));
    const std::vector<std::string> wanted = {"/mine", "/x/fettle"};
    CHECK(std::equal(folders.begin(), folders.end(), wanted.begin(), wanted.end()));
}

TEST_CASE("xdg: an asset is found in the second of 2 folders, a missing one names both") {
    const test::Folder first;
    const test::Folder second;
    std::ofstream(second / "demo.json") << "{}";
    CHECK(find_asset("demo.json", {first.path(), second.path()}).value() == second / "demo.json");
    const auto missing = find_asset("other.json", {first.path(), second.path()});
    CHECK(missing.error().code == Errc::not_found);
    CHECK(missing.error().detail.find(second.path()) != std::string::npos);
}

TEST_CASE("xdg: the running program knows its own file and environment") {
    CHECK(own_program().ends_with("tests_base"));
    CHECK(system_environment("RC_PARAMS").has_value());  // set by the tests' main()
    CHECK_FALSE(system_environment("FETTLE_SURELY_NOT_SET").has_value());
}

}  // namespace
}  // namespace fettle
