#include "core/base/files.hpp"

#include <doctest/doctest.h>
#include <errno.h>

#include <fstream>

#include "tests/base/disk.hpp"
#include "tests/base/folder.hpp"

namespace fettle {
namespace {

using test::FailingDisk;
using test::Folder;
using test::mode_of;
using test::ModelDisk;

constexpr size_t k_limit = 1 << 20;

size_t files_in(const Folder& folder) {
    size_t count = 0;
    for (const auto& entry : std::filesystem::directory_iterator(folder.path()))
        count += size_t{entry.exists()};
    return count;
}

TEST_CASE("files: 100,000 bytes saved are read back equal, and 1 file is in the folder") {
    const Folder folder;
    std::string content(100000, '\0');
    for (size_t i = 0; i < content.size(); ++i) content[i] = static_cast<char>(i * 31 % 251);
    REQUIRE(save_file(folder / "a.json", content));
    CHECK(read_file(folder / "a.json", k_limit).value() == content);
    CHECK(files_in(folder) == 1);
}

TEST_CASE("files: 1 byte over the limit is refused, the limit itself is read") {
    const Folder folder;
    REQUIRE(save_file(folder / "a", std::string(1000, 'x')));
    CHECK(read_file(folder / "a", 1000).value().size() == 1000);
    CHECK(read_file(folder / "a", 999).error().code == Errc::too_large);
    CHECK(read_file("/dev/zero", 70000).error().code == Errc::too_large);  // has no end
}

TEST_CASE("files: a missing file, a folder and a missing folder give 3 clear errors") {
    const Folder folder;
    const auto missing = read_file(folder / "none", k_limit);
    CHECK(missing.error().code == Errc::not_found);
    CHECK(missing.error().where == folder / "none");
    CHECK_FALSE(missing.error().detail.empty());
    CHECK(read_file(folder.path(), k_limit).error().code == Errc::io);
    CHECK(save_file(folder.path(), "x").error().code == Errc::io);
    CHECK(save_file(folder / "none/a", "x").error().code == Errc::not_found);
}

TEST_CASE("files: privacy gives mode 0600 to a new file and takes rights from an old one") {
    const Folder folder;
    REQUIRE(save_file(folder / "new", "x", Privacy::only_me));
    CHECK(mode_of(folder / "new") == 0600);
    std::ofstream(folder / "old") << "x";
    std::filesystem::permissions(folder / "old", std::filesystem::perms(0644));
    REQUIRE(save_file(folder / "old", "y", Privacy::only_me));
    CHECK(mode_of(folder / "old") == 0600);
}

TEST_CASE("files: saving keeps mode 0640 of the file it replaces") {
    const Folder folder;
    std::ofstream(folder / "a") << "x";
    std::filesystem::permissions(folder / "a", std::filesystem::perms(0640));
    REQUIRE(save_file(folder / "a", "y"));
    CHECK(mode_of(folder / "a") == 0640);
}

TEST_CASE("files: a file of mode 0444 is left alone, for root too") {
    const Folder folder;
    std::ofstream(folder / "a") << "old";
    std::filesystem::permissions(folder / "a", std::filesystem::perms(0444));
    CHECK(save_file(folder / "a", "new").error().code == Errc::denied);
    CHECK(read_file(folder / "a", k_limit).value() == "old");
    CHECK(files_in(folder) == 1);
}

TEST_CASE("files: a symbolic link stays 1 link, the file that it names is replaced") {
    const Folder folder;
    std::ofstream(folder / "real") << "old";
    std::filesystem::create_symlink(folder / "real", folder / "link");
    REQUIRE(save_file(folder / "link", "new"));
    CHECK(std::filesystem::is_symlink(folder / "link"));
    CHECK(read_file(folder / "real", k_limit).value() == "new");
}

TEST_CASE("files: a temporary name that is taken 3 times is passed over") {
    const Folder folder;
    REQUIRE(save_file(folder / "a", "old"));
    class Crowded final : public FileSystem {  // the first 3 names exist
    public:
        int open(const std::string& p) override { return system_files().open(p); }
        int create(const std::string& p, unsigned m) override {
            return ++tries <= 3 ? -EEXIST : system_files().create(p, m);
        }
        long read(int h, char* t, size_t n) override { return system_files().read(h, t, n); }
        long write(int h, const char* f, size_t n) override { return system_files().write(h, f, n); }
        int sync(int h) override { return system_files().sync(h); }
        int close(int h) override { return system_files().close(h); }
        int rename(const std::string& f, const std::string& t) override {
            return system_files().rename(f, t);
        }
        int sync_folder(const std::string& f) override { return system_files().sync_folder(f); }
        int remove(const std::string& p) override { return system_files().remove(p); }
        int mode_of(const std::string& p) override { return system_files().mode_of(p); }
        int set_mode(int h, unsigned m) override { return system_files().set_mode(h, m); }
        std::string resolve(const std::string& p) override { return p; }
        int tries = 0;
    };
    Crowded disk;
    REQUIRE(save_file(folder / "a", "new", Privacy::as_before, disk));
    CHECK(disk.tries == 4);
    CHECK(read_file(folder / "a", k_limit).value() == "new");
}

/// Saves `after` over `before` with step n failing; gives how many steps a save without failure takes.
struct Outcome {
    bool saved = false;
    Errc code = Errc::io;
    std::string content;
    size_t files = 0;
    int steps = 0;
};
Outcome save_with_failure(int fail_at, int error, bool killed) {
    const Folder folder;
    std::ofstream(folder / "a") << "before";
    FailingDisk disk(system_files(), fail_at, error, killed);
    const Status saved = save_file(folder / "a", "after, and longer", Privacy::as_before, disk);
    Outcome outcome;
    outcome.saved = saved.has_value();
    if (!saved) outcome.code = saved.error().code;
    outcome.content = read_file(folder / "a", k_limit).value();
    outcome.files = files_in(folder);
    outcome.steps = disk.steps();
    return outcome;
}

TEST_CASE("files: a full disk at each step gives disk_full, an intact file and no leftovers") {
    const Outcome whole = save_with_failure(-1, 0, false);
    REQUIRE(whole.saved);
    REQUIRE(whole.steps >= 8);  // mode, create, mode, write, sync, close, rename, folder sync
    for (int n = 0; n < whole.steps; ++n) {
        CAPTURE(n);
        const Outcome outcome = save_with_failure(n, -ENOSPC, false);
        CHECK_FALSE(outcome.saved);
        CHECK(outcome.code == Errc::disk_full);
        const bool is_last_step = n == whole.steps - 1;  // the new content is in place by then
        CHECK(outcome.content == (is_last_step ? "after, and longer" : "before"));
        CHECK(outcome.files == 1);
    }
}

TEST_CASE("files: a kill before each step leaves the old content or the new one, whole") {
    const int steps = save_with_failure(-1, 0, false).steps;
    bool has_seen_before = false;
    bool has_seen_after = false;
    for (int n = 0; n < steps; ++n) {
        CAPTURE(n);
        const Outcome outcome = save_with_failure(n, -EIO, true);
        const bool is_before = outcome.content == "before";
        const bool is_after = outcome.content == "after, and longer";
        CHECK((is_before || is_after));
        has_seen_before = has_seen_before || is_before;
        has_seen_after = has_seen_after || is_after;
    }
    CHECK(has_seen_before);
    CHECK(has_seen_after);
}

TEST_CASE("files: a power cut before each step leaves the old content or the new one, whole") {
    const auto run = [](int cut_at, ModelDisk& disk) {
        REQUIRE(save_file("/d/a", "before", Privacy::as_before, disk));
        FailingDisk cut(disk, cut_at, -EIO, true);
        const bool saved = save_file("/d/a", "after, and longer", Privacy::as_before, cut).has_value();
        return std::pair(saved, cut.steps());
    };
    ModelDisk undisturbed(5);
    const auto [saved, steps] = run(-1 + 1000, undisturbed);
    REQUIRE(saved);
    REQUIRE(steps >= 11);  // 17 bytes in writes of 5
    for (const auto& content : undisturbed.after_power_cut())
        CHECK(content.at("/d/a") == "after, and longer");

    for (int n = 0; n < steps; ++n) {
        ModelDisk disk(5);
        run(n, disk);
        for (const auto& content : disk.after_power_cut()) {
            CAPTURE(n);
            REQUIRE(content.contains("/d/a"));
            const std::string& left = content.at("/d/a");
            CHECK((left == "before" || left == "after, and longer"));
        }
    }
}

TEST_CASE("files: 4 kinds of refusal keep their own code at the first write") {
    const std::pair<int, Errc> kinds[] = {
        {-EACCES, Errc::denied}, {-EROFS, Errc::denied}, {-EDQUOT, Errc::disk_full}, {-EIO, Errc::io}};
    for (const auto& kind : kinds) {
        CAPTURE(kind.first);
        CHECK(save_with_failure(3, kind.first, false).code == kind.second);
    }
}

TEST_CASE("files: a disk that takes 0 bytes a write ends in disk_full, not for ever") {
    ModelDisk disk(0);
    CHECK(save_file("/d/a", "x", Privacy::as_before, disk).error().code == Errc::disk_full);
}

TEST_CASE("files: a read error in the middle gives no half content") {
    const Folder folder;
    REQUIRE(save_file(folder / "a", std::string(200000, 'x')));
    for (int n = 0; n < 5; ++n) {  // open, 4 blocks and the end
        CAPTURE(n);
        FailingDisk disk(system_files(), n, -EIO, false);
        CHECK(read_file(folder / "a", k_limit, disk).error().code == Errc::io);
    }
}

TEST_CASE("files: 3 nested folders are made with mode 0700, and again without complaint") {
    const Folder folder;
    REQUIRE(make_folder(folder / "x/y/z"));
    CHECK(mode_of(folder / "x") == 0700);
    CHECK(mode_of(folder / "x/y/z") == 0700);
    CHECK(make_folder(folder / "x/y/z"));
    std::ofstream(folder / "file") << "x";
    CHECK_FALSE(make_folder(folder / "file/z"));
}

TEST_CASE(
    "files: a folder that cannot even be asked after is an error and no crash: a name of 300 characters") {
    const Folder folder;
    const auto made = make_folder(folder / std::string(300, 'x'));
    REQUIRE_FALSE(made);
    CHECK(made.error().code == Errc::io);
}

}  // namespace
}  // namespace fettle
