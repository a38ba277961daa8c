#include <doctest/doctest.h>

#include "app/profile_file.hpp"
#include "tests/app/rig.hpp"
#include "tests/app/sockets.hpp"

// The cable goes in the middle of a command, at each of its messages: what the sentence says is what the
// device holds when it is plugged back.

namespace fettle::app::test {
namespace {

struct Pulled : Rig {
    Pulled() {
        world = &sockets;
        sockets.plug("/dev/hidraw3", "A1", "1-1");
    }
    sim::SimDevice& device() { return *sockets.devices["/dev/hidraw3"]; }
    /// With the cable pulled at the n-th message; then it is plugged back.
    Run pulled(const std::vector<std::string>& words, int n, const std::string& typed = {}) {
        sockets.pull_at = n;
        const Run ran = run(words, typed);
        sockets.pull_at = 0;
        was_pulled = !device().is_plugged();
        if (was_pulled) device().plug_cable();
        device().advance_ms(1500);
        CHECK_FALSE(device().host().view().holds_anything());
        return ran;
    }
    bool was_pulled = false;
    Sockets sockets;
};

const std::vector<std::string>& write_words() {
    static const std::vector<std::string> words{"write", demo_profile("volunteer"), "--agree", "--leave"};
    return words;
}

/// One line, and no other command's state in it.
void check_told(const Run& ran) {
    CHECK(ran.exit == 1);
    CHECK(count(ran.err, "\n") == 1);
    CHECK(ran.err.starts_with("The device is gone"));
    CHECK(has(ran.err, "and holds nothing down."));
    CHECK(has(ran.err, "Look at the cable, then try again."));
}

const char* const k_not_taken = "The profile that was being sent was not taken";
const char* const k_keep_unknown = "Whether the new profile was kept shows when it is back";
const char* const k_trial_ended = "The trial ended with it";
const char* const k_nothing_changed = "Nothing was changed on it";

}  // namespace

TEST_CASE("cut: a write, at every message: it says that it was not taken, and the built-in profile runs") {
    int n = 1, not_taken = 0;
    for (;; ++n) {
        CAPTURE(n);
        Pulled rig;
        const Run ran = rig.pulled(write_words(), n);
        if (!rig.was_pulled) {
            CHECK(ran.exit == 0);
            break;
        }
        check_told(ran);
        not_taken += has(ran.err, k_not_taken) ? 1 : 0;
        CHECK(has(ran.err, k_not_taken) != has(ran.err, k_nothing_changed));
        const std::string info = rig.json({"info"});
        CHECK(has(info, R"("runs_built_in":true,)"));
        CHECK(has(info, R"("trial":{"phase":"none",)"));
        CHECK(rig.run(write_words()).exit == 0);  // go on
    }
    CHECK(n > 20);
    // All but the greeting, in which nothing was sent yet.
    CHECK(not_taken == n - 1 - 2);
}

TEST_CASE("cut: a keep, at every message: the sentence allows what the device holds then, and both happen") {
    int kept = 0, not_kept = 0, n = 1;
    for (;; ++n) {
        CAPTURE(n);
        Pulled rig;
        REQUIRE(rig.run(write_words()).exit == 0);
        const Run ran = rig.pulled({"keep", "--helper-answers-for-it"}, n);
        if (!rig.was_pulled) {
            CHECK(ran.exit == 0);
            break;
        }
        check_told(ran);
        const bool is_kept = has(rig.json({"info"}), R"("runs_built_in":false,)");
        if (has(ran.err, k_keep_unknown))
            ++(is_kept ? kept : not_kept);
        else
            CHECK_FALSE(is_kept);
        CHECK(has(rig.json({"info"}), R"("trial":{"phase":"none",)"));
    }
    CHECK(kept > 0);
    CHECK(not_kept > 0);
}

TEST_CASE("cut: revert and extend, at every message: the trial is over, the built-in profile runs") {
    for (const std::string& command : {std::string("revert"), std::string("extend")}) {
        int ended = 0;
        for (int n = 1;; ++n) {
            CAPTURE(command);
            CAPTURE(n);
            Pulled rig;
            REQUIRE(rig.run(write_words()).exit == 0);
            const Run ran = rig.pulled({command}, n);
            if (!rig.was_pulled) break;
            check_told(ran);
            ended += has(ran.err, k_trial_ended) ? 1 : 0;
            CHECK(has(rig.json({"info"}), R"("runs_built_in":true,)"));
        }
        CHECK(ended == 2);  // the request and its answer
    }
}

TEST_CASE("cut: read, info and release, at every message: nothing was changed") {
    for (const std::string& command : {std::string("read"), std::string("info"), std::string("release")}) {
        int unchanged = 0, cuts = 0;
        Pulled rig;
        REQUIRE(rig.run(write_words()).exit == 0);
        REQUIRE(rig.run({"keep", "--helper-answers-for-it"}).exit == 0);
        const std::string before = rig.run({"read"}).out;
        for (int n = 1;; ++n) {
            CAPTURE(command);
            CAPTURE(n);
            const Run ran = rig.pulled({command}, n);
            if (!rig.was_pulled) break;
            ++cuts;
            unchanged += has(ran.err, k_nothing_changed) ? 1 : 0;
            CHECK(has(ran.err, k_nothing_changed) == (ran.exit != 0));
            CHECK(rig.run({"read"}).out == before);
        }
        CHECK(unchanged >= 4);  // the greeting and the first request, each with its answer
        CHECK(cuts >= 4);
    }
}

TEST_CASE("cut: staying with a trial, the cable goes: said once, the trial ended with it") {
    Pulled counted;
    REQUIRE(counted.pulled(write_words(), 0).exit == 0);
    const int pushed = counted.sockets.messages;
    for (const std::string& typed : {std::string("\n"), std::string("keep\n"), std::string("revert\n")}) {
        CAPTURE(typed);
        Pulled rig;
        // After the push: one look with its answer, then what was typed.
        const Run ran =
            rig.pulled({"write", demo_profile("volunteer"), "--agree"}, pushed + 3, typed + "keep\nkeep\n");
        REQUIRE(rig.was_pulled);
        check_told(ran);
        CHECK(has(ran.err, typed == "keep\n" ? k_keep_unknown : k_trial_ended));
        CHECK(has(rig.json({"info"}), R"("runs_built_in":true,)"));
    }
}

TEST_CASE("cut: while the command waits for typing, the cable goes: it says so without a key, and ends") {
    Pulled rig;
    int looks = 0;
    rig.has_typed = [&] {
        if (++looks == 5) rig.device().pull_cable();
        return looks > 100;  // never comes so far
    };
    const Run ran = rig.run({"write", demo_profile("volunteer"), "--agree"}, "keep\n");
    CHECK(ran.exit == 1);
    CHECK(looks == 5);
    CHECK(ran.err.starts_with("\nThe device is gone"));
    CHECK(has(ran.err, k_trial_ended));
}

TEST_CASE("cut: while the command waits for typing, the trial runs out: it says so without a key, and ends") {
    Pulled rig;
    rig.has_typed = [] { return false; };
    const Run ran = rig.run({"write", demo_profile("volunteer"), "--agree", "--trial", "20"}, "keep\n");
    CHECK(ran.exit == 1);
    CHECK(ran.err.empty());
    CHECK(ran.out.ends_with("\nThe trial ran out: the profile before it is back.\n"));
}

}  // namespace fettle::app::test
