#include <doctest/doctest.h>

#include "tests/app/rig.hpp"

namespace fettle::app::test {

TEST_CASE("curve: each motion of the volunteer with taps, 3 holds, 5 speeds and how far it runs on") {
    Rig rig;
    const Run ran = rig.run({"curve", demo_profile("volunteer")});
    CHECK(ran.exit == 0);
    CHECK(has(ran.out, "\nfar worked by a remote\n"));
    CHECK(has(ran.out, "\nnear worked by a remote\n"));
    CHECK(count(ran.out, "speed over hold time") == 2);
    CHECK(has(ran.out, "Counts are what the device sends; the computer may multiply them."));
    const std::string answer = rig.json({"curve", demo_profile("volunteer")});
    CHECK(count(answer, R"({"motion":)") == 2);
    // The far motion's first step is 3 counts: its document says so, and a tap is one step.
    CHECK(answer.starts_with(
        R"([{"motion":"far","worked_by":"remote","tap_counts":3,"smallest_step_counts":3,)"));
    CHECK(count(answer, R"("held_ms":)") == 6);
    CHECK(count(answer, R"("counts_per_s":)") == 10);
    // Its top speed is 900 counts a second, reached after 300 + 1600 ms.
    CHECK(has(answer, R"({"at_ms":4000,"counts_per_s":900)"));
}

TEST_CASE("curve: one motion by its name; another name is an error that names it") {
    Rig rig;
    const std::string answer = rig.json({"curve", demo_profile("volunteer"), "--motion", "near"});
    CHECK(count(answer, R"({"motion":)") == 1);
    const Run ran = rig.run({"curve", demo_profile("volunteer"), "--motion", "nowhere"});
    CHECK(ran.exit == 1);
    CHECK(ran.err == "nowhere was not found: no motion of this profile.\n");
}

TEST_CASE("curve: the stick of the third demo profile stops by itself: it is worked by a switch's release") {
    Rig rig;
    const Run ran = rig.run({"curve", demo_profile("stick_and_tube")});
    CHECK(ran.exit == 0);
    CHECK(has(ran.out, " worked by a switch"));
    CHECK_FALSE(has(ran.out, " worked by a remote"));
}
}  // namespace fettle::app::test
