#include <doctest/doctest.h>

#include "tests/app/rig.hpp"

namespace fettle::app::test {
namespace {

Run simulated(Rig& rig, const std::string& script, const std::string& profile = demo_profile("volunteer")) {
    return rig.run({"simulate", "--profile", profile, "--script", rig.put("script.txt", script)});
}
std::string last_line(const std::string& text) {
    const std::size_t at = text.rfind('\n', text.size() - 2);
    return text.substr(at == std::string::npos ? 0 : at + 1);
}

}  // namespace

TEST_CASE("simulate: one tap to the right is one report of 3 counts, when the frame was heard") {
    Rig rig;
    const Run ran = simulated(rig, "at 200 press right 60\n");
    CAPTURE(ran.out);
    CHECK(ran.exit == 0);
    CHECK(ran.err.empty());
    CHECK(count(ran.out, "pointer: x +3, y +0, no button") == 1);
    CHECK(last_line(ran.out) == "pointer +3 +0, wheel +0, pan +0; nothing is held\n");
    // A NEC frame takes 67.5 ms at most (the kernel's and LIRC's timings), and counts when nothing follows it
    // for 5 ms.
    const int at_ms = std::stoi(ran.out);
    CHECK(at_ms >= 200 + 45);
    CHECK(at_ms <= 200 + 68 + 5 + 3);
}

TEST_CASE("simulate: a foot switch begins a drag, the cheek switch lets go of everything") {
    Rig rig;
    const Run held = simulated(rig, "at 100 press foot 100\nend 1000\n");
    CHECK(last_line(held.out) == "pointer +0 +0, wheel +0, pan +0; something is still held\n");
    const Run let_go = simulated(rig, "at 100 press foot 100\nat 1000 press cheek 100\n");
    CHECK(count(let_go.out, "primary button down") == 1);
    CHECK(last_line(let_go.out) == "pointer +0 +0, wheel +0, pan +0; nothing is held\n");
}

TEST_CASE("simulate: JSON has each report with time, endpoint, bytes and words") {
    Rig rig;
    const std::string answer = rig.json({"simulate", "--profile", demo_profile("volunteer"), "--script",
                                         rig.put("s", "contact 5000 3\nat 100 press foot 100\nend 500\n")});
    CAPTURE(answer);
    CHECK(count(answer, R"("at_us":)") == 1);
    CHECK(has(
        answer,
        R"("endpoint":"pointer","bytes":"01 01 00 00 00 00 00 00","words":"pointer: x +0, y +0, primary button down"})"));
    CHECK(rig.json({"simulate", "--profile", demo_profile("volunteer"), "--script",
                    rig.put("s", "end 10\n")}) == "[]");
}

TEST_CASE("simulate: raw edges of line 2 do what the switch there does; a slower poll reads later") {
    Rig rig;
    const Run edges = simulated(rig, "at 100 edge 2 low\nat 250 edge 2 high\nend 500\n");
    const Run press = simulated(rig, "at 100 press foot 150\nend 500\n");
    CHECK(edges.out == press.out);
    const Run slow = rig.run({"simulate", "--profile", demo_profile("volunteer"), "--script",
                              rig.folder / "script.txt", "--poll", "50"});
    CHECK(std::stoi(slow.out) > std::stoi(press.out));
}

TEST_CASE("simulate: the text is typed by strokes, each key let go of") {
    Rig rig;
    const Run ran = simulated(rig, "at 100 press help 60\nend 4000\n");
    CAPTURE(ran.out);
    // "Thank you!" has 10 characters; T and ! need Shift on the us layout.
    CHECK(count(ran.out, "keyboard: Shift + t ") == 1);
    CHECK(has(ran.out, "keyboard: h "));
    CHECK(has(ran.out, "keyboard: Shift + 1 "));
    CHECK(last_line(ran.out) == "pointer +0 +0, wheel +0, pan +0; nothing is held\n");
}

TEST_CASE("simulate: a stick pushed to the side moves the pointer until it is let go") {
    Rig rig;
    const Run ran = simulated(rig, "at 100 axis stick_x 1000\nat 1100 axis stick_x 0\nend 2000\n",
                              demo_profile("stick_and_tube"));
    CHECK(ran.exit == 0);
    const std::string end = last_line(ran.out);
    CHECK(end.starts_with("pointer +"));
    CHECK_FALSE(end.starts_with("pointer +0"));
    CHECK(has(end, "nothing is held"));
}

TEST_CASE("simulate: a script that cannot be read or is not there: one sentence, exit 1") {
    Rig rig;
    const Run bad = simulated(rig, "at 100 press nose 5\n");
    CHECK(bad.exit == 1);
    CHECK(bad.out.empty());
    CHECK(bad.err == "line 1 names something that does not exist: nose.\n");
    CHECK(
        rig.run({"simulate", "--profile", demo_profile("volunteer"), "--script", rig.folder / "none"}).exit ==
        1);
    CHECK(
        rig.run({"simulate", "--profile", rig.folder / "none", "--script", rig.folder / "script.txt"}).exit ==
        1);
}
}  // namespace fettle::app::test
