#include <doctest/doctest.h>

#include "tests/app/rig.hpp"

namespace fettle::app::test {
namespace {

/// The device runs the volunteer's profile, kept.
void put_volunteer(Rig& rig) {
    REQUIRE(rig.run({"write", demo_profile("volunteer"), "--agree", "--leave"}).exit == 0);
    REQUIRE(rig.run({"keep", "--helper-answers-for-it"}).exit == 0);
}
std::vector<std::string> watching(const Rig& rig, const std::string& script) {
    return {"watch", "--seconds", "3", "--sim-script", rig.put("script.txt", script)};
}

}  // namespace

TEST_CASE("watch: a press of the foot switch from edge to report, numbers from 1 on, nothing lost") {
    Rig rig;
    put_volunteer(rig);
    const Run ran = rig.run(watching(rig, "at 300 edge 2 low\nat 500 edge 2 high\n"));
    CAPTURE(ran.out);
    CHECK(ran.exit == 0);
    CHECK(has(ran.out, "ms  level    input 12 down\n"));
    CHECK(has(ran.out, "ms  press    input 12: accepted\n"));
    CHECK(has(ran.out, "ms  gesture  input 12: short press in mode 1: action "));
    CHECK(has(ran.out, "ms  held     dragging with the primary button\n"));
    CHECK(has(ran.out, "ms  report   pointer: x +0, y +0, primary button down\n"));
    CHECK(has(ran.out, " events; 0 were lost on the device, 0 batches on the way.\n"));
    CHECK_FALSE(has(ran.out, "edge     "));
    CHECK_FALSE(has(ran.out, "taken    "));
}

TEST_CASE("watch: with the profile by its names, with --edges the raw edges too") {
    Rig rig;
    put_volunteer(rig);
    auto words = watching(rig, "at 300 edge 2 low\nat 500 edge 2 high\n");
    for (const char* word : {"--edges", "--profile"}) words.emplace_back(word);
    words.push_back(demo_profile("volunteer"));
    const Run ran = rig.run(words);
    CAPTURE(ran.out);
    CHECK(ran.exit == 0);
    CHECK(has(ran.out, "ms  edge     line 2 low\n"));
    CHECK(has(ran.out, "ms  level    foot down\n"));
    CHECK(has(ran.out,
              "ms  gesture  foot: short press in mode far: takes hold with the primary button to drag; the "
              "next press lets go\n"));
}

TEST_CASE("watch: names of a profile that the device does not run would be wrong, so they are refused") {
    Rig rig;
    put_volunteer(rig);
    const Run ran = rig.run({"watch", "--seconds", "1", "--profile", demo_profile("one_switch")});
    CHECK(ran.exit == 1);
    CHECK(ran.out.empty());
    CHECK(has(ran.err, "the device runs another profile"));
    CHECK(has(ran.err, "The device goes on with the profile it had."));
}

TEST_CASE("watch: keys stay hidden until the person agrees with --usages") {
    Rig rig;
    put_volunteer(rig);
    const std::string script = "at 300 frame nec:97:25 60\n";  // the button help types a text
    const Run hidden = rig.run(watching(rig, script));
    CHECK(has(hidden.out, "keyboard: "));
    CHECK(has(hidden.out, "(a key)"));
    CHECK_FALSE(has(hidden.out, "keyboard: h\n"));
    auto words = watching(rig, script);
    words.emplace_back("--usages");
    CHECK(has(rig.run(words).out, "keyboard: h\n"));
}

TEST_CASE("watch: JSON has each event with time, kind, bytes and words") {
    Rig rig;
    put_volunteer(rig);
    const std::string answer = rig.json(watching(rig, "at 300 edge 1 low\nat 600 edge 1 high\n"));
    CHECK(answer.starts_with(R"([{"at_us":)"));
    CHECK(has(answer, R"("kind":"level","data":[10,1],"words":"input 11 down"})"));
    CHECK(has(answer, R"("kind":"released")"));
}

TEST_CASE("watch: a script that names an input needs a profile for it; without one it is refused") {
    Rig rig;
    const Run ran = rig.run(watching(rig, "at 300 press up 100\n"));
    CHECK(ran.exit == 1);
    CHECK(has(ran.err, "line 1"));
    put_volunteer(rig);
    auto words = watching(rig, "at 300 press up 100\n");
    words.emplace_back("--profile");
    words.push_back(demo_profile("volunteer"));
    CHECK(has(rig.run(words).out, "level    up down\n"));
}
}  // namespace fettle::app::test
