// A profile's file on a disk that fails, is killed or loses its power at every step.
#include <doctest/doctest.h>
#include <errno.h>

#include "tests/base/disk.hpp"
#include "tests/profile/sample.hpp"

namespace fettle::profile {
namespace {

Profile changed() {
    Profile after = sample();
    after.rule_sets[1].acceptance_ms = 250;
    after.name = "changed";
    return after;
}

TEST_CASE(
    "save: at every step that fails or at which the program is killed, the file is the old or the new one") {
    for (const bool is_killed : {false, true})
        for (int step = 0;; ++step) {
            CAPTURE(step);
            CAPTURE(is_killed);
            test::ModelDisk disk(1000);
            REQUIRE(save_file("/p/mine.json", sample(), disk));
            test::FailingDisk failing(disk, step, -ENOSPC, is_killed);
            const Status saved = save_file("/p/mine.json", changed(), failing);
            const auto loaded = load_file("/p/mine.json", nullptr, disk);
            REQUIRE(loaded);
            if (saved) {
                CHECK(*loaded == changed());
                CHECK(failing.steps() <= step);  // no step was left to fail
                break;
            }
            CHECK((*loaded == sample() || *loaded == changed()));
            CHECK(saved.error().where == "/p/mine.json");
        }
}

TEST_CASE("save: a power cut after any step leaves a whole profile, the old or the new one") {
    test::ModelDisk whole(1000);
    REQUIRE(save_file("/p/mine.json", sample(), whole));
    for (int step = 0; step < 40; ++step) {
        test::ModelDisk disk(1000);
        REQUIRE(save_file("/p/mine.json", sample(), disk));
        test::FailingDisk failing(disk, step, -EIO, true);
        const bool is_saved = save_file("/p/mine.json", changed(), failing).has_value();
        for (const auto& left : disk.after_power_cut()) {
            const auto file = left.find("/p/mine.json");
            REQUIRE(file != left.end());
            const auto loaded = parse(file->second);
            REQUIRE(loaded);
            CHECK((*loaded == changed() || (!is_saved && *loaded == sample())));
        }
    }
}

}  // namespace
}  // namespace fettle::profile
