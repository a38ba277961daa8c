#include <doctest/doctest.h>

#include "tests/app/rig.hpp"

namespace fettle::app::test {

TEST_CASE("check: 3 demo profiles may be pushed, and fit the 480 bytes of a slot") {
    for (const char* name : {"volunteer", "one_switch", "stick_and_tube"}) {
        CAPTURE(name);
        Rig rig;
        const Run ran = rig.run({"check", demo_profile(name)});
        CHECK(ran.exit == 0);
        CHECK(ran.err.empty());
        CHECK(has(ran.out, "Nothing in this profile locks anybody out"));
        CHECK(has(ran.out, " of 480 bytes"));
        const std::string answer = rig.json({"check", demo_profile(name)});
        CHECK(answer.starts_with(R"({"may_be_pushed":true,"findings":[],"size":{"image_bytes":)"));
    }
}

TEST_CASE("check: a mode without release everything is refused by its name, and cannot be accepted") {
    Rig rig;
    const std::string path = rig.copy_of("volunteer");
    // The first mode's only press that releases everything becomes a click.
    rig.put("volunteer.json", with(rig.content(path), R"({"do": "release_everything"})",
                                   R"({"do": "button", "buttons": ["primary"], "style": "click"})"));
    const Run ran = rig.run({"check", path});
    CHECK(ran.exit == 1);
    CHECK(has(ran.out, "LOCKS OUT"));
    CHECK(has(ran.out, "[mode-without-release] at /modes/0"));
    CHECK(has(ran.out, "In the mode far no single press releases everything."));
    CHECK(count(ran.err, "\n") == 1);
    CHECK(rig.run({"check", path, "--accept", "mode-without-release"}).exit == 2);
}

TEST_CASE("check: a warning stands in the way until it is accepted by its name") {
    Rig rig;
    const std::string path = rig.copy_of("volunteer");
    rig.put("volunteer.json", with(rig.content(path), R"("holdover_ms": 130)", R"("holdover_ms": 700)"));
    const Run refused = rig.run({"check", path});
    CHECK(refused.exit == 1);
    CHECK(has(refused.out, "warning    In the rules remote long_ms is 800 ms"));
    CHECK(has(refused.out, "[shorter-than-remote]"));
    const Run accepted =
        rig.run({"check", path, "--accept", "shorter-than-remote", "--accept", "delay-shorter-than-remote"});
    CAPTURE(accepted.out);
    CHECK(accepted.exit == 0);
    CHECK(has(accepted.out, "accepted   In the rules remote"));
    CHECK_FALSE(has(accepted.out, "warning  "));
}

TEST_CASE("check: a name that is no warning's is wrong usage, exit 2") {
    Rig rig;
    const Run ran = rig.run({"check", demo_profile("volunteer"), "--accept", "no-such-warning"});
    CHECK(ran.exit == 2);
    CHECK(has(ran.err, "no-such-warning is not the name of a warning"));
}
}  // namespace fettle::app::test
