// The file itself: made, refused, left alone, brought up to date, without leftovers.
#include <SQLiteCpp/Database.h>
#include <sqlite3.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <csignal>
#include <fstream>

#include "core/base/files.hpp"
#include "core/store/schema.hpp"
#include "core/store/trouble.hpp"
#include "tests/store/fixture.hpp"

namespace fettle::store {
namespace {

using test::Folder;
using test::mode_of;

const FakeClock k_clock{k_start_ms};

std::string content_of(const std::string& path) {
    return read_file(path, std::size_t{1} << 26).value();
}

void put(const std::string& path, const std::string& content) {
    std::ofstream(path, std::ios::binary) << content;
}

std::size_t files_in(const Folder& folder) {
    std::size_t count = 0;
    for (const auto& entry : std::filesystem::directory_iterator(folder.path()))
        count += size_t{entry.exists()};
    return count;
}

/// A file with one person and one profile, closed.
void furnish(const std::string& path) {
    const auto store = opened(path, k_clock);
    const auto person = store->add_person("volunteer")->id;
    REQUIRE(store->add_profile(person, profile::sample()));
}

/// Opening gives `wanted`, and the file has not changed by a byte.
void check_refused(const std::string& path, Errc wanted) {
    const std::string before = content_of(path);
    const auto store = Store::open(path, k_clock, {0});
    REQUIRE_FALSE(store.has_value());
    CHECK(store.error().code == wanted);
    CHECK(store.error().where == path);
    CHECK_FALSE(store.error().detail.empty());
    CHECK(content_of(path) == before);
    CHECK_FALSE(std::filesystem::exists(path + "-journal"));
}

TEST_CASE("file: folders and file are made, 0700 and 0600, and hold 1 file; what was put in is there again") {
    const Folder folder;
    const std::string path = folder / "a/b/fettle.db";
    furnish(path);
    CHECK(mode_of(path) == 0600);
    CHECK(mode_of(folder / "a/b") == 0700);
    CHECK(std::distance(std::filesystem::directory_iterator(folder / "a/b"), {}) == 1);
    const auto store = opened(path, k_clock);
    CHECK(store->people()->front() == Person{1, "volunteer", k_start_ms});
    CHECK(store->load(1).value() == profile::sample());
}

TEST_CASE("file: opening a file again changes no byte of it; its mode becomes 0600 if it was not") {
    const Folder folder;
    furnish(folder / "f.db");
    const std::string before = content_of(folder / "f.db");
    std::filesystem::permissions(folder / "f.db", std::filesystem::perms{0644});
    CHECK(opened(folder / "f.db", k_clock)->people()->size() == 1);
    CHECK(content_of(folder / "f.db") == before);
    CHECK(mode_of(folder / "f.db") == 0600);
}

TEST_CASE("file: an empty file is filled, as if there had been none") {
    const Folder folder;
    put(folder / "f.db", "");
    furnish(folder / "f.db");
    CHECK(mode_of(folder / "f.db") == 0600);
}

TEST_CASE("file: no path, a folder, a path through a file and a write-protected file are refused") {
    const Folder folder;
    CHECK(code_of(Store::open("", k_clock)) == Errc::not_found);
    CHECK(code_of(Store::open(folder.path(), k_clock)) == Errc::io);
    put(folder / "plain", "x");
    CHECK_FALSE(Store::open(folder / "plain/f.db", k_clock));
    CHECK(content_of(folder / "plain") == "x");
    furnish(folder / "f.db");
    std::filesystem::permissions(folder / "f.db", std::filesystem::perms{0400});
    check_refused(folder / "f.db", Errc::denied);
    CHECK(mode_of(folder / "f.db") == 0400);
}

TEST_CASE("file: 5 files that are no databases are garbled and stay as they are, with their mode") {
    const Folder folder;
    for (const std::size_t size : {1u, 15u, 100u, 5000u, 70000u}) {
        CAPTURE(size);
        put(folder / "f.db", std::string(size, '!'));
        std::filesystem::permissions(folder / "f.db", std::filesystem::perms{0640});
        check_refused(folder / "f.db", Errc::garbled);
        CHECK(mode_of(folder / "f.db") == 0640);
    }
    CHECK(files_in(folder) == 1);
}

TEST_CASE("file: databases of other programs are garbled and stay as they are") {
    const Folder folder;
    for (const char* sql : {"CREATE TABLE people (id, name)", "PRAGMA user_version = 1",
                            "PRAGMA application_id = 7; PRAGMA user_version = 1",
                            "PRAGMA journal_mode = WAL; CREATE TABLE t (x)"}) {
        CAPTURE(sql);
        std::filesystem::remove(folder / "f.db");
        SQLite::Database(folder / "f.db", SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE).exec(sql);
        check_refused(folder / "f.db", Errc::garbled);
    }
}

/// `sql` on a file of ours, as another program would do it.
void meddle(const std::string& path, const std::string& sql) {
    SQLite::Database(path, SQLite::OPEN_READWRITE).exec(sql);
}

TEST_CASE("file: one of a newer version is refused by that name and stays as it is") {
    const Folder folder;
    furnish(folder / "f.db");
    for (const int version : {k_schema_version + 1, 1000000}) {
        meddle(folder / "f.db", "PRAGMA user_version = " + std::to_string(version));
        check_refused(folder / "f.db", Errc::version);
    }
    const auto refused = Store::open(folder / "f.db", k_clock);
    CHECK(refused.error().detail == "1000000; known: 1 to " + std::to_string(k_schema_version));
}

TEST_CASE("file: ours without a table, without a column, of version 0 or made for WAL is garbled") {
    for (const char* sql :
         {"DROP TABLE settings", "ALTER TABLE people RENAME COLUMN created_ms TO other",
          "PRAGMA user_version = 0", "PRAGMA user_version = -1", "PRAGMA journal_mode = WAL"}) {
        CAPTURE(sql);
        const Folder folder;
        furnish(folder / "f.db");
        meddle(folder / "f.db", sql);
        check_refused(folder / "f.db", Errc::garbled);
    }
}

TEST_CASE("file: ours cut short or with a page overwritten is garbled and stays as it is") {
    const Folder folder;
    furnish(folder / "whole.db");
    const std::string whole = content_of(folder / "whole.db");
    REQUIRE(whole.size() > 4 * 4096);
    for (const std::size_t size :
         {std::size_t{50}, std::size_t{4096}, whole.size() / 2, whole.size() - 4096}) {
        CAPTURE(size);
        put(folder / "f.db", whole.substr(0, size));
        check_refused(folder / "f.db", Errc::garbled);
    }
    for (std::size_t page = 1; page * 4096 < whole.size(); ++page) {
        CAPTURE(page);
        std::string damaged = whole;
        damaged.replace(page * 4096, 16, 16, '\x5A');
        put(folder / "f.db", damaged);
        const auto store = Store::open(folder / "f.db", k_clock, {0});
        // A page of a long document has no structure of its own: that damage shows when it is read.
        if (store) {
            CHECK_FALSE((*store)->load(1).has_value());
        } else {
            CHECK(store.error().code == Errc::garbled);
        }
        CHECK(content_of(folder / "f.db") == damaged);
    }
}

TEST_CASE("file: a document that was changed by another hand is garbled; the next save mends the profile") {
    const Folder folder;
    furnish(folder / "f.db");
    meddle(folder / "f.db", "UPDATE revisions SET document = replace(document, '35', '36')");
    const auto store = opened(folder / "f.db", k_clock);
    const auto loaded = store->load(1);
    CHECK(code_of(loaded) == Errc::garbled);
    CHECK(loaded.error().where == "revision 1");
    CHECK(code_of(store->load_revision(1)) == Errc::garbled);
    CHECK(code_of(store->restore(1)) == Errc::garbled);
    CHECK(code_of(store->rename_profile(1, "x")) == Errc::garbled);
    CHECK(code_of(store->copy_profile(1, 1, "x")) == Errc::garbled);
    CHECK(code_of(store->export_person(1)) == Errc::garbled);
    CHECK(store->revisions(1)->size() == 1);
    CHECK(store->save(1, profile::sample(), RevisionKind::edited)->is_new);
    CHECK(store->load(1).value() == profile::sample());
}

TEST_CASE(
    "file: a document of another format version, with its CRC, gives the parser's error and the revision") {
    const Folder folder;
    furnish(folder / "f.db");
    const std::string text = "{\"fettle_profile\": 99}";
    meddle(folder / "f.db", "UPDATE revisions SET document = '" + text +
                                "', document_crc = " + std::to_string(sqlite3_int64{0xDEADBEEF}));
    CHECK(code_of(opened(folder / "f.db", k_clock)->load(1)) == Errc::garbled);
    // Source: the CRC-32 of "123456789" is CBF43926 (check value of the catalogue entry CRC-32/ISO-HDLC).
    meddle(folder / "f.db", "UPDATE revisions SET document = '123456789', document_crc = 3421780262");
    const auto loaded = opened(folder / "f.db", k_clock)->load(1);
    const Error parsed = profile::parse("123456789").error();
    CHECK(code_of(loaded) == parsed.code);
    CHECK(loaded.error().where == "revision 1: " + parsed.where);
}

TEST_CASE("file: kinds and ids that this program does not know are garbled, not guessed") {
    const Folder folder;
    furnish(folder / "f.db");
    REQUIRE(opened(folder / "f.db", k_clock)->note_run({.device_serial = "S1", .profile = 1}));
    meddle(folder / "f.db", "UPDATE revisions SET kind = 6; UPDATE device_runs SET kind = -1");
    const auto store = opened(folder / "f.db", k_clock);
    CHECK(code_of(store->revisions(1)) == Errc::garbled);
    CHECK(code_of(store->runs("S1", 1)) == Errc::garbled);
    CHECK(code_of(store->export_person(1)) == Errc::garbled);
    CHECK(store->load(1).value() == profile::sample());
}

/// Another process that holds the file, from its making to its end.
class Holder {
public:
    Holder(const std::string& path, const char* begin) {
        REQUIRE(::pipe(ready_.data()) == 0);
        child_ = ::fork();
        REQUIRE(child_ >= 0);
        if (child_ == 0) {
            SQLite::Database file(path, SQLite::OPEN_READWRITE);
            file.exec(begin);
            [[maybe_unused]] const auto put = ::write(ready_[1], "x", 1);
            ::pause();
            ::_exit(0);
        }
        char got = 0;
        REQUIRE(::read(ready_[0], &got, 1) == 1);
    }
    ~Holder() {
        ::kill(child_, SIGKILL);
        ::waitpid(child_, nullptr, 0);
        ::close(ready_[0]);
        ::close(ready_[1]);
    }
    Holder(const Holder&) = delete;
    Holder& operator=(const Holder&) = delete;

private:
    std::array<int, 2> ready_{};
    pid_t child_ = -1;
};

TEST_CASE("file: while another program writes, reads go on and changes are busy; afterwards all is well") {
    const Folder folder;
    furnish(folder / "f.db");
    const auto store = opened(folder / "f.db", k_clock);
    {
        const Holder holder(folder / "f.db", "BEGIN IMMEDIATE");
        CHECK(store->people()->size() == 1);
        CHECK(code_of(store->add_person("visitor")) == Errc::busy);
        CHECK(code_of(store->save(1, sample_with(10), RevisionKind::edited)) == Errc::busy);
        CHECK(code_of(Store::open(folder / "f.db", k_clock, {0})) == Errc::busy);
    }
    CHECK(store->people()->size() == 1);
    CHECK(store->save(1, sample_with(10), RevisionKind::edited)->is_new);
}

TEST_CASE("file: while another program has it to itself, 9 calls are busy and say which file") {
    const Folder folder;
    furnish(folder / "f.db");
    const auto store = opened(folder / "f.db", k_clock);
    {
        const Holder holder(folder / "f.db", "BEGIN EXCLUSIVE");
        CHECK(code_of(store->people()) == Errc::busy);
        CHECK(code_of(store->profiles(1)) == Errc::busy);
        CHECK(code_of(store->load(1)) == Errc::busy);
        CHECK(code_of(store->runs("S1", 1)) == Errc::busy);
        CHECK(code_of(store->devices()) == Errc::busy);
        CHECK(code_of(store->settings()) == Errc::busy);
        CHECK(code_of(store->export_person(1)) == Errc::busy);
        CHECK(code_of(store->remove_person(1)) == Errc::busy);
        CHECK(store->set_setting("a", "b").error().where == folder / "f.db");
    }
    CHECK(store->load(1).value() == profile::sample());
}

TEST_CASE("file: while another program reads, a change is busy at its end and taken back whole") {
    const Folder folder;
    furnish(folder / "f.db");
    const auto store = opened(folder / "f.db", k_clock);
    {
        const Holder holder(folder / "f.db", "BEGIN; SELECT * FROM people");
        CHECK(code_of(store->rename_person(1, "visitor")) == Errc::busy);
        CHECK(store->person(1)->name == "volunteer");
    }
    CHECK(store->rename_person(1, "visitor"));
    CHECK(store->person(1)->name == "visitor");
}

TEST_CASE("file: of a removed person nothing is left in the file, and no other file lies beside it") {
    const Folder folder;
    const std::string path = folder / "f.db";
    {
        const auto store = opened(path, k_clock);
        const auto person = store->add_person("Traceable-Name")->id;
        profile::Profile document = profile::sample();
        document.name = "Traceable-Profile";
        document.texts[0].parts = {profile::TextPart{"Traceable-Text"}};
        const auto added = store->add_profile(person, document, RevisionKind::edited, "Traceable-Note");
        REQUIRE(added);
        for (int ms = 1; ms <= 20; ++ms) {
            document.rule_sets[1].acceptance_ms = ms;
            REQUIRE(store->save(added->id, document, RevisionKind::edited, "Traceable-Note"));
        }
        REQUIRE(store->rename_profile(added->id, "Traceable-Again"));
        REQUIRE(store->note_run({.device_serial = "S1", .profile = added->id}));
        REQUIRE(store->add_recording(
            {.person = person, .name = "Traceable-Take", .file_path = "/Traceable-Path"}));
        CHECK(content_of(path).find("Traceable-Text") != std::string::npos);
        REQUIRE(store->remove_person(person));
        CHECK(content_of(path).find("Traceable") == std::string::npos);
        CHECK(files_in(folder) == 1);
    }
    CHECK(content_of(path).find("Traceable") == std::string::npos);
    CHECK(files_in(folder) == 1);
}

TEST_CASE("file: what is renamed, forgotten or removed alone is not left in the file either") {
    const Folder folder;
    const std::string path = folder / "f.db";
    const auto store = opened(path, k_clock);
    const auto person = store->add_person("Traceable-Name")->id;
    const auto added = store->add_profile(person, profile::sample(), RevisionKind::edited, "Traceable-Note");
    const auto take = store->add_recording({.person = person, .name = "Traceable-Take", .file_path = "/r"});
    REQUIRE(store->set_setting("k", "Traceable-Setting"));
    REQUIRE(store->rename_person(person, "volunteer"));
    REQUIRE(store->remove_profile(added->id));
    REQUIRE(store->remove_recording(take->id));
    REQUIRE(store->forget_setting("k"));
    CHECK(content_of(path).find("Traceable") == std::string::npos);
}

}  // namespace
}  // namespace fettle::store
