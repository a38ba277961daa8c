// The reader of the tree is itself tested, so that a silent reader cannot pass for a clean tree.
#include "tests/house/tree.hpp"

#include <doctest/doctest.h>

#include <array>

namespace fettle::house {
namespace {

TEST_CASE("tree: 4 paths give their rooms") {
    CHECK(room_of("core/engine/bytes.hpp") == "engine");
    CHECK(room_of("core/link/sim/x.hpp") == "link");
    CHECK(room_of("app/main.cpp") == "app");
    CHECK(room_of("tests/engine/x.cpp").empty());
}

TEST_CASE("tree: 3 include lines are read, with spaces, quotes and brackets, and a comment is none") {
    const auto found =
        includes_of("core/sim/a.cpp", {"#include \"core/wire/frame.hpp\"", "  #  include <vector>",
                                       "// #include \"app/x.hpp\"", "#include\"core/base/a.hpp\" // why"});
    REQUIRE(found.size() == 3);
    CHECK(found[0] == Include{"core/sim/a.cpp", "sim", "core/wire/frame.hpp"});
    CHECK(found[1].target == "vector");
    CHECK(found[2].target == "core/base/a.hpp");
}

TEST_CASE("tree: 9 arrows of the design are allowed") {
    const std::array<std::array<const char*, 2>, 9> arrows = {{{"app", "core/profile/model.hpp"},
                                                               {"app", "core/engine/engine.hpp"},
                                                               {"profile", "core/sim/device.hpp"},
                                                               {"link", "core/wire/frame.hpp"},
                                                               {"sim", "core/wire/frame.hpp"},
                                                               {"wire", "core/engine/bytes.hpp"},
                                                               {"trace", "core/base/ring.hpp"},
                                                               {"engine", "stdint.h"},
                                                               {"base", "vector"}}};
    for (const auto& arrow : arrows) {
        CAPTURE(arrow[0]);
        CAPTURE(arrow[1]);
        CHECK(broken_rule(arrow[0], arrow[1]).empty());
    }
}

TEST_CASE("tree: 11 arrows against the design are named") {
    const std::array<std::array<const char*, 2>, 11> arrows = {{{"engine", "core/wire/frame.hpp"},
                                                                {"engine", "core/base/result.hpp"},
                                                                {"engine", "cstdint"},
                                                                {"wire", "vector"},
                                                                {"wire", "core/base/result.hpp"},
                                                                {"wire", "core/sim/device.hpp"},
                                                                {"sim", "core/link/link.hpp"},
                                                                {"profile", "app/main.hpp"},
                                                                {"base", "core/engine/bytes.hpp"},
                                                                {"profile", "core/link/link.hpp"},
                                                                {"link", "tests/support/x.hpp"}}};
    for (const auto& arrow : arrows) {
        CAPTURE(arrow[0]);
        CAPTURE(arrow[1]);
        CHECK_FALSE(broken_rule(arrow[0], arrow[1]).empty());
    }
}

}  // namespace
}  // namespace fettle::house
