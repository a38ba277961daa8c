#include <doctest/doctest.h>

#include <cstdlib>

#include "tests/app/rig.hpp"

namespace fettle::app::test {

TEST_CASE(
    "demo: the whole job runs to its end, keeps one profile, lets another run out, says nothing on stderr") {
    setenv("FETTLE_ASSETS", FETTLE_ROOT "/assets", 1);
    Rig rig;
    const Run ran = rig.run({"demo"});
    CAPTURE(ran.err);
    CHECK(ran.exit == 0);
    CHECK(ran.err.empty());
    CHECK(has(ran.out, "Kept: the device starts with this profile from now on."));
    CHECK(has(ran.out, "The trial ran out: the profile before it is back."));
    CHECK(has(ran.out, "That was the whole job."));
    // Time is the device's own: the same words every time.
    CHECK(Rig().run({"demo"}).out == ran.out);
    CHECK_FALSE(std::filesystem::exists(rig.folder / "state"));
}

TEST_CASE("demo: --pause goes on after each Enter, and ends by itself when there is no more input") {
    setenv("FETTLE_ASSETS", FETTLE_ROOT "/assets", 1);
    Rig rig;
    CHECK(rig.run({"demo", "--pause"}, std::string(40, '\n')).exit == 0);
    CHECK(rig.run({"demo", "--pause"}).exit == 0);
}
}  // namespace fettle::app::test
