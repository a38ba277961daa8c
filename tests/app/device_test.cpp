#include <doctest/doctest.h>

#include "app/profile_file.hpp"
#include "core/base/files.hpp"
#include "core/profile/document.hpp"
#include "core/profile/image_compile.hpp"
#include "tests/app/rig.hpp"

// The simulated device stays powered from one run to the next; its time is the clock's.

namespace fettle::app::test {
namespace {

Run write_and_leave(Rig& rig, const std::string& profile = demo_profile("volunteer")) {
    return rig.run({"write", profile, "--agree", "--leave"});
}
Run keep_anyway(Rig& rig) {
    return rig.run({"keep", "--helper-answers-for-it"});
}
std::vector<std::uint8_t> image_of(const std::string& path) {
    const auto file = open_profile(path);
    REQUIRE(file);
    return profile::compile(file->profile, strokes_of(*file)).value().image;
}

}  // namespace

TEST_CASE("device: nothing attached is the simulated device, by its name and by its path") {
    Rig rig;
    CHECK(rig.run({"devices"}).out == "simulated  SIM00001   simulated device  (sim)\n");
    CHECK(
        rig.json({"devices"}) ==
        R"({"devices":[{"channel":"simulated","serial":"SIM00001","product":"simulated device","path":"sim",)"
        R"("fallback_path":"","place":"","is_accessible":true,"held_by":null}],"strangers":[]})");
    CHECK(rig.run({"info", "--device", "sim"}).exit == 0);
    const Run ran = rig.run({"info", "--device", "/dev/none"});
    CHECK(ran.exit == 1);
    CHECK(has(ran.err, "/dev/none was not found"));
}

TEST_CASE(
    "device: info of a fresh device names the built-in profile, no trial, and shows 4 rows of display") {
    Rig rig;
    const Run ran = rig.run({"info"});
    CHECK(ran.exit == 0);
    CHECK(ran.err.empty());
    CHECK(has(ran.out, "runs       the built-in profile"));
    CHECK(has(ran.out, "trial      No profile is on trial.\n"));
    CHECK(has(ran.out, "display    ["));
    const std::string answer = rig.json({"info"});
    CHECK(has(answer, R"("slot_bytes":480,)"));
    CHECK(has(answer, R"("runs_built_in":true,)"));
    CHECK(has(answer, R"("trial":{"phase":"none",)"));
    CHECK(has(answer, R"("up_s":)"));
}

TEST_CASE(
    "device: written and left, the next run keeps it only when a helper answers for it; then it reads back "
    "equal") {
    Rig rig;
    const Run written = write_and_leave(rig);
    CHECK(written.exit == 0);
    CHECK(has(written.out, "On trial, 60 s left"));
    CHECK(has(rig.json({"info"}), R"("trial":{"phase":"running",)"));

    const Run unproven = rig.run({"keep"});
    CHECK(unproven.exit == 1);
    CHECK(unproven.out.empty());
    CHECK(has(unproven.err, "The profile on trial was not used enough to be kept."));
    CHECK(has(unproven.err,
              "Still to be shown: click once, press something and let go, change the mode and come back."));

    const Run kept = keep_anyway(rig);
    CHECK(kept.exit == 0);
    CHECK(kept.out == "Kept: the device starts with this profile from now on.\n");
    const std::string path = rig.folder / "read.json";
    CHECK(rig.run({"read", path}).exit == 0);
    CHECK(image_of(path) == image_of(demo_profile("volunteer")));
    CHECK(rig.run({"read"}).out == rig.content(path));
}

TEST_CASE("device: 61 s after a write the trial has run out; keep says so, and the profile before is back") {
    Rig rig;
    write_and_leave(rig);
    rig.clock.advance_ms(61000);
    const Run ran = rig.run({"keep"});
    CHECK(ran.exit == 1);
    CHECK(has(ran.err, "Nothing was decided: The trial ran out: the profile before it is back."));
    CHECK(has(rig.json({"info"}), R"("runs_built_in":true,)"));
}

TEST_CASE("device: a trial extended by 120 s at 50 s is still running at 110 s, and over at 180 s") {
    Rig rig;
    write_and_leave(rig);
    rig.clock.advance_ms(50000);
    CHECK(has(rig.json({"extend", "--seconds", "120"}), R"("phase":"extended")"));
    rig.clock.advance_ms(60000);
    CHECK(has(rig.json({"info"}), R"("runs_built_in":false,)"));
    rig.clock.advance_ms(70000);
    CHECK(has(rig.json({"info"}), R"("runs_built_in":true,)"));
}

TEST_CASE("device: revert ends the trial at once; a second revert has nothing to decide") {
    Rig rig;
    write_and_leave(rig);
    const Run ran = rig.run({"revert"});
    CHECK(ran.exit == 0);
    CHECK(ran.out == "Reverted: the profile before it is back.\n");
    CHECK(rig.run({"revert"}).exit == 1);
    CHECK(has(rig.json({"info"}), R"("runs_built_in":true,)"));
}

TEST_CASE("device: 16 minutes without a run are a power cut: a trial is gone, a kept profile is there") {
    Rig rig;
    write_and_leave(rig);
    keep_anyway(rig);
    write_and_leave(rig, demo_profile("one_switch"));
    rig.clock.advance_ms(16 * 60 * 1000);
    CHECK(has(rig.json({"info"}), R"("trial":{"phase":"none",)"));
    const std::string path = rig.folder / "read.json";
    CHECK(rig.run({"read", path}).exit == 0);
    CHECK(image_of(path) == image_of(demo_profile("volunteer")));
}

TEST_CASE("device: read gives what is on trial with --on-trial, and leaves a file alone that is there") {
    Rig rig;
    write_and_leave(rig);
    const std::string path = rig.folder / "trial.json";
    CHECK(rig.run({"read", path, "--on-trial"}).exit == 0);
    CHECK(image_of(path) == image_of(demo_profile("volunteer")));
    const Run again = rig.run({"read", path});
    CHECK(again.exit == 1);
    CHECK(has(again.err, "is there already"));
    CHECK(rig.run({"read", path, "--replace"}).exit == 0);
    const Run unknown = rig.run({"read", "--layout", "no-such-layout"});
    CHECK(unknown.exit == 1);
    CHECK(count(unknown.err, "\n") == 1);
}

TEST_CASE("device: release says so, and exits 0") {
    Rig rig;
    const Run ran = rig.run({"release"});
    CHECK(ran.exit == 0);
    CHECK(ran.out == "The device let go of everything it held.\n");
}

TEST_CASE("device: what a profile can type is shown and asked for; without a yes the device is not touched") {
    Rig rig;
    for (const char* typed : {"", "no\n", "y\n"}) {
        const Run ran = rig.run({"write", demo_profile("volunteer")}, typed);
        CHECK(ran.exit == 1);
        CHECK(has(ran.out, "This profile can type and send:\n"));
        CHECK(has(ran.out, "\"Thank you!\""));
        CHECK(has(ran.err, "It was not agreed to, so the device was not touched."));
    }
    CHECK(has(rig.json({"info"}), R"("trial":{"phase":"none",)"));
    const Run ran = rig.run({"write", demo_profile("volunteer"), "--leave"}, "yes\n");
    CHECK(ran.exit == 0);
    CHECK(has(ran.out, "On trial, 60 s left"));
}

TEST_CASE("device: staying with the trial: revert typed ends it, keep is refused as unproven first") {
    Rig rig;
    const Run ran = rig.run({"write", demo_profile("volunteer"), "--agree"}, "keep\nrevert\n");
    CHECK(ran.exit == 1);
    CHECK(has(ran.err, "was not used enough to be kept"));
    CHECK(has(ran.out, "Reverted: the profile before it is back.\n"));
}

TEST_CASE("device: staying with the trial and typing nothing: after 4 looks 20 s apart it has run out") {
    Rig rig;
    const Run ran = rig.run({"write", demo_profile("volunteer"), "--agree"}, "\n\n\n\n", 20000);
    CHECK(ran.exit == 1);
    CHECK(has(ran.out, "On trial, 60 s left"));
    CHECK(has(ran.out, "On trial, 40 s left"));
    CHECK(has(ran.out, "The trial ran out: the profile before it is back.\n"));
}

TEST_CASE("device: the end of the input while staying leaves the trial to itself, and says how to keep") {
    Rig rig;
    const Run ran = rig.run({"write", demo_profile("volunteer"), "--agree", "--trial", "90"});
    CHECK(ran.exit == 0);
    CHECK(has(ran.out, "The trial runs on for 90 s; `fettle keep` keeps the profile.\n"));
}

TEST_CASE("device: a second write during a trial is refused as busy, and the trial goes on") {
    Rig rig;
    write_and_leave(rig);
    const Run ran = write_and_leave(rig, demo_profile("one_switch"));
    CHECK(ran.exit == 1);
    CHECK(has(ran.err, "The device is busy"));
    CHECK(has(ran.err, "Keep or revert what is on trial"));
    CHECK(has(rig.json({"info"}), R"("trial":{"phase":"running",)"));
}

TEST_CASE("device: a profile with a lock-out is not written, whatever is accepted") {
    Rig rig;
    const std::string path = rig.copy_of("volunteer");
    rig.put("volunteer.json",
            with(rig.content(path), R"({"do": "release_everything"})", R"({"do": "keep"})"));
    const Run ran = rig.run({"write", path, "--agree", "--leave", "--accept", "mode-without-release"});
    CHECK(ran.exit == 1);
    CHECK(has(ran.err, "In the mode far no single press releases everything."));
    CHECK(has(ran.err, "The device was not touched."));
    CHECK(has(rig.json({"info"}), R"("trial":{"phase":"none",)"));
}

TEST_CASE("device: a remembered device that cannot be read starts anew and answers") {
    Rig rig;
    write_and_leave(rig);
    for (const char* damaged : {"", "x", "12\n", "1767603600000\nFTLsim99 nonsense"}) {
        rig.put("state/simulated-device", damaged);
        CHECK(has(rig.json({"info"}), R"("runs_built_in":true,)"));
    }
}
TEST_CASE("device: a damaged journal is put aside and said, and the device starts as new; it is said once") {
    Rig rig;
    REQUIRE(write_and_leave(rig).exit == 0);
    REQUIRE(keep_anyway(rig).exit == 0);
    const std::string path = rig.folder / "state/simulated-device";
    const std::string whole = rig.content(path);
    REQUIRE(whole.size() > 1000);
    rig.put("state/simulated-device", whole.substr(0, whole.size() - 7));
    const Run ran = rig.run({"info"});
    CHECK(ran.exit == 0);
    CHECK(has(ran.err, "could not be read"));
    CHECK(has(ran.out, "the built-in profile"));
    CHECK(rig.content(path + ".damaged") == whole.substr(0, whole.size() - 7));
    CHECK(rig.run({"info"}).err.empty());
}

TEST_CASE("device: a journal that cannot be read at all is an error, and is not written over") {
    Rig rig;
    REQUIRE(make_folder(rig.folder / "state/simulated-device"));
    const Run ran = rig.run({"info"});
    CHECK(ran.exit == 1);
    CHECK_FALSE(ran.err.empty());
}

}  // namespace fettle::app::test
