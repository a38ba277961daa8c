// Source: the project's design: arrows go one way, app -> store, advise, measure, link, trace, profile ->
// person, sim -> wire -> engine; host rooms may use base; nothing in core includes app.
#include <doctest/doctest.h>

#include "tests/house/tree.hpp"

namespace fettle::house {
namespace {

const std::filesystem::path k_root = FETTLE_ROOT;

std::vector<Include> all_includes() {
    std::vector<Include> all;
    for (const char* folder : {"core", "app"}) {
        for (const auto& file : files_under(k_root, folder, {".hpp", ".cpp", ".h", ".in"})) {
            const auto found = includes_of(file, lines_of(k_root / file));
            all.insert(all.end(), found.begin(), found.end());
        }
    }
    return all;
}

TEST_CASE("house: every include in core and app follows the arrows of the design") {
    const auto all = all_includes();
    CHECK(all.size() > 20);  // a reader that finds nothing proves nothing
    for (const auto& include : all) {
        CAPTURE(include.from_file);
        CAPTURE(include.target);
        CHECK(broken_rule(include.from_room, include.target) == "");
    }
}

TEST_CASE("house: every include of ours is written from the root of the tree and names a file") {
    const std::filesystem::path generated = std::filesystem::path(FETTLE_BUILD) / "generated";
    for (const auto& include : all_includes()) {
        CAPTURE(include.from_file);
        CAPTURE(include.target);
        const bool is_ours = include.target.starts_with("core/") || include.target.starts_with("app/");
        if (is_ours) {
            const bool exists = std::filesystem::exists(k_root / include.target) ||
                                std::filesystem::exists(generated / include.target);
            CHECK(exists);
        } else {
            // A file of ours by a relative path would slip past the arrows.
            const auto beside = (k_root / include.from_file).parent_path() / include.target;
            CHECK_FALSE(std::filesystem::exists(beside));
        }
    }
}

}  // namespace
}  // namespace fettle::house
