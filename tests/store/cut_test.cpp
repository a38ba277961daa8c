// The promise: killed, without power, on a full or failing disk at any step, the file has the state before
// the change or the one after it, whole.
#include <SQLiteCpp/Database.h>
#include <SQLiteCpp/Statement.h>
#include <sqlite3.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <csignal>
#include <functional>

#include "tests/store/cut_disk.hpp"
#include "tests/store/fixture.hpp"

namespace fettle::store {
namespace {

using test::Cut;
using test::CutDisk;
using test::Folder;

constexpr std::int64_t k_person = 1;
constexpr std::int64_t k_profile = 1;
constexpr int k_most_steps = 400;  // far beyond what any change here needs

using Change = std::function<Status(Store&)>;

template <typename T>
Status status_of(const Result<T>& result) {
    if (!result) return result.failure();
    return Done{};
}

struct Named {
    const char* name;
    Change change;
};

/// Its id is free: a random one would make each run's file another.
profile::Profile another() {
    profile::Profile made = sample_with(5);
    made.id = {1, 2, 3, 4, 5, 6, 7, 8};
    made.name = "another";
    return made;
}

/// Changes of different kinds: one row, several tables, a whole person.
const std::vector<Named>& changes() {
    static const std::vector<Named> all = {
        {"save",
         [](Store& s) { return status_of(s.save(k_profile, sample_with(77), RevisionKind::edited)); }},
        {"move", [](Store& s) { return s.move_profile(k_profile, 2); }},
        {"add", [](Store& s) { return status_of(s.add_profile(k_person, another())); }},
        {"remove person", [](Store& s) { return status_of(s.remove_person(k_person)); }},
        {"setting", [](Store& s) { return s.set_setting("k", std::string(20000, 'v')); }}};
    return all;
}

/// A file with 2 people; the first has a profile of 3 revisions, 2 runs, a recording.
void furnish(const std::string& path) {
    const CutDisk quick(Cut::none);
    const FakeClock clock(k_start_ms);
    const auto store = opened(path, clock);
    REQUIRE(store->add_person("volunteer"));
    REQUIRE(store->add_person("visitor"));
    REQUIRE(store->add_profile(k_person, profile::sample()));
    REQUIRE(store->save(k_profile, sample_with(10), RevisionKind::edited));
    REQUIRE(store->save(k_profile, sample_with(20), RevisionKind::edited));
    REQUIRE(store->note_run({.device_serial = "S1", .profile = k_profile}));
    REQUIRE(store->note_run({.device_serial = "S1"}));
    REQUIRE(store->add_recording({.person = k_person, .name = "one", .file_path = "/r"}));
}

/// Every row of every table as one text, after the store has opened the file. Fails the test when the file is
/// not whole.
std::string state_of(const std::string& path) {
    const CutDisk quick(Cut::none);
    const FakeClock clock(k_start_ms);
    const auto store = opened(path, clock);
    SQLite::Database file(path);
    CHECK(file.execAndGet("PRAGMA integrity_check").getString() == "ok");
    CHECK(file.execAndGet("SELECT count(*) FROM pragma_foreign_key_check").getInt() == 0);
    std::string all;
    for (const std::string table :
         {"people", "profiles", "revisions", "device_runs", "recordings", "settings"}) {
        SQLite::Statement row(file, "SELECT * FROM " + table + " ORDER BY 1");
        while (row.executeStep()) {
            all += table;
            for (int i = 0; i < row.getColumnCount(); ++i) all += "|" + row.getColumn(i).getString();
            all += "\n";
        }
    }
    return all;
}

/// Runs the change in a process of its own. True when it came to its end and had succeeded.
bool runs_to_its_end(const std::string& path, Cut cut, int step,
                     const std::function<Status(Store&, CutDisk&)>& change) {
    const pid_t child = ::fork();
    REQUIRE(child >= 0);
    if (child == 0) {
        CutDisk disk(cut, step);
        const FakeClock clock(k_start_ms);
        auto store = Store::open(path, clock, {0});
        ::_exit(store && change(**store, disk) ? 0 : 1);
    }
    int status = 0;
    REQUIRE(::waitpid(child, &status, 0) == child);
    if (WIFEXITED(status)) {
        CHECK(WEXITSTATUS(status) == 0);
        return true;
    }
    CHECK(WTERMSIG(status) == SIGKILL);
    return false;
}

bool runs_to_its_end(const std::string& path, const Change& change, Cut cut, int step) {
    return runs_to_its_end(path, cut, step, [&](Store& store, CutDisk&) { return change(store); });
}

/// Cuts the change off at every step. Gives how many steps there were.
int cut_everywhere(const Named& named, Cut cut) {
    const Folder folder;
    const std::string whole = folder / "whole.db";
    furnish(whole);
    const std::string before = state_of(whole);
    std::filesystem::copy_file(whole, folder / "after.db");
    REQUIRE(runs_to_its_end(folder / "after.db", named.change, Cut::none, 0));
    const std::string after = state_of(folder / "after.db");
    REQUIRE(before != after);
    const std::string path = folder / "cut.db";
    for (int step = 0; step < k_most_steps; ++step) {
        CAPTURE(named.name);
        CAPTURE(step);
        std::filesystem::copy_file(whole, path, std::filesystem::copy_options::overwrite_existing);
        const bool is_done = runs_to_its_end(path, named.change, cut, step);
        const std::string now = state_of(path);
        CHECK((now == after || (!is_done && now == before)));
        CHECK_FALSE(std::filesystem::exists(path + "-journal"));
        if (is_done) return step;
    }
    FAIL("never came to its end");
    return 0;
}

TEST_CASE(
    "cut: 5 changes, killed before every step or in the middle of every write, are made whole or not at "
    "all") {
    for (const Named& named : changes()) {
        CHECK(cut_everywhere(named, Cut::kill) > 5);
        CHECK(cut_everywhere(named, Cut::half_kill) > 5);
    }
}

TEST_CASE("cut: 5 changes without power from every step on are made whole or not at all") {
    for (const Named& named : changes()) {
        CHECK(cut_everywhere(named, Cut::power) > 5);
        CHECK(cut_everywhere(named, Cut::power_in_part) > 5);
    }
}

TEST_CASE("cut: the power that goes right after a change has returned takes none of 5 changes away") {
    for (const Named& named : changes()) {
        CAPTURE(named.name);
        const Folder folder;
        furnish(folder / "whole.db");
        std::filesystem::copy_file(folder / "whole.db", folder / "cut.db");
        REQUIRE(runs_to_its_end(folder / "whole.db", named.change, Cut::none, 0));
        const auto then_dark = [&](Store& store, CutDisk& disk) {
            Status done = named.change(store);
            if (done) disk.lose_power_now();
            return done;
        };
        REQUIRE_FALSE(runs_to_its_end(folder / "cut.db", Cut::none, 0, then_dark));
        CHECK(state_of(folder / "cut.db") == state_of(folder / "whole.db"));
    }
}

TEST_CASE("cut: a first start that is killed at every step leaves a file that the next start makes whole") {
    for (const Cut cut : {Cut::kill, Cut::half_kill, Cut::power, Cut::power_in_part}) {
        bool is_done = false;
        for (int step = 0; step < k_most_steps && !is_done; ++step) {
            const Folder folder;
            CAPTURE(step);
            is_done = runs_to_its_end(
                folder / "new.db", [](Store&) { return Status(Done{}); }, cut, step);
            CHECK(state_of(folder / "new.db").empty());
        }
        CHECK(is_done);
    }
}

/// A disk that gives `error` from one step on: what was begun is taken back, at the latest when it works
/// again.
void fail_everywhere(const Named& named, Cut cut, int error, Errc wanted) {
    const Folder folder;
    const std::string whole = folder / "whole.db";
    furnish(whole);
    const std::string before = state_of(whole);
    const std::string path = folder / "failing.db";
    for (int step = 0; step < k_most_steps; ++step) {
        CAPTURE(named.name);
        CAPTURE(step);
        std::filesystem::copy_file(whole, path, std::filesystem::copy_options::overwrite_existing);
        Status done = Done{};
        {
            const CutDisk disk(cut, step, error);
            const FakeClock clock(k_start_ms);
            const auto store = Store::open(path, clock, {0});
            REQUIRE(store);
            done = named.change(**store);
        }
        const std::string now = state_of(path);
        if (done) {
            CHECK(now != before);
            return;
        }
        CHECK(done.error().code == wanted);
        CHECK(now == before);
    }
    FAIL("never came to its end");
}

TEST_CASE("cut: 5 changes on a disk that is full or fails at every step change nothing") {
    for (const Named& named : changes()) {
        fail_everywhere(named, Cut::fails_on, SQLITE_FULL, Errc::disk_full);
        fail_everywhere(named, Cut::fails_on, SQLITE_IOERR, Errc::io);
    }
}

TEST_CASE("cut: 5 changes on a disk that fails at one step only work when they are made again") {
    for (const Named& named : changes()) {
        const Folder folder;
        const std::string whole = folder / "whole.db";
        furnish(whole);
        std::filesystem::copy_file(whole, folder / "after.db");
        REQUIRE(runs_to_its_end(folder / "after.db", named.change, Cut::none, 0));
        const std::string after = state_of(folder / "after.db");
        int failed = 0;
        for (int step = 0; step < 40; ++step) {
            CAPTURE(named.name);
            CAPTURE(step);
            const std::string path = folder / ("once" + std::to_string(step));
            std::filesystem::copy_file(whole, path);
            {
                const CutDisk disk(Cut::fails_once, step, SQLITE_IOERR);
                const FakeClock clock(k_start_ms);
                const auto store = opened(path, clock);
                const Status first = named.change(*store);
                failed += first ? 0 : 1;
                if (!first) CHECK(named.change(*store).has_value());
            }
            CHECK(state_of(path) == after);
        }
        CHECK(failed > 5);
    }
}

TEST_CASE("cut: when the journal's removal cannot be synced, 5 changes say io and are whole either way") {
    for (const Named& named : changes()) {
        CAPTURE(named.name);
        const Folder folder;
        const std::string path = folder / "late.db";
        furnish(path);
        const std::string before = state_of(path);
        std::filesystem::copy_file(path, folder / "after.db");
        REQUIRE(runs_to_its_end(folder / "after.db", named.change, Cut::none, 0));
        {
            const CutDisk disk(Cut::fails_late, 0, SQLITE_IOERR_DIR_FSYNC);
            const FakeClock clock(k_start_ms);
            CHECK(code_of(named.change(*opened(path, clock))) == Errc::io);
        }
        const std::string now = state_of(path);
        CHECK((now == before || now == state_of(folder / "after.db")));
    }
}

}  // namespace
}  // namespace fettle::store
