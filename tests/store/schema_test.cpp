// Tables and their versions, apart from what is in them.
#include "core/store/schema.hpp"

#include <SQLiteCpp/Database.h>
#include <SQLiteCpp/Exception.h>
#include <sqlite3.h>

#include <array>
#include <cerrno>
#include <new>
#include <stdexcept>

#include "core/store/trouble.hpp"
#include "tests/store/fixture.hpp"

namespace fettle::store {
namespace {

int64_t number(SQLite::Database& db, const char* sql) {
    return db.execAndGet(sql).getInt64();
}

TEST_CASE("schema: there are as many steps as the version says, and a probe for each of the 6 tables") {
    CHECK(steps().size() == std::size_t{k_schema_version});
    SQLite::Database db(":memory:", SQLite::OPEN_READWRITE);
    REQUIRE(migrate(db, steps(), "f"));
    CHECK(number(db, "SELECT count(*) FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite%'") ==
          6);
    CHECK(table_probes().size() == 6);
    for (const char* probe : table_probes()) CHECK_NOTHROW(db.exec(probe));
    CHECK(number(db, "PRAGMA application_id") == 0x4665746C);
    CHECK(number(db, "PRAGMA user_version") == k_schema_version);
}

TEST_CASE("schema: a file of version 1 goes through the 2 further steps in order, once, with its rows") {
    SQLite::Database db(":memory:", SQLite::OPEN_READWRITE);
    REQUIRE(migrate(db, steps(), "f"));
    db.exec("INSERT INTO people (name, created_ms) VALUES ('volunteer', 5)");
    auto more = steps();
    more.push_back("ALTER TABLE people ADD COLUMN extra INTEGER NOT NULL DEFAULT 1");
    more.push_back("UPDATE people SET extra = extra * 10");
    REQUIRE(migrate(db, more, "f"));
    REQUIRE(migrate(db, more, "f"));
    CHECK(number(db, "SELECT extra FROM people WHERE name = 'volunteer' AND created_ms = 5") == 10);
    CHECK(number(db, "PRAGMA user_version") == k_schema_version + 2);
    const Status back = migrate(db, steps(), "f");
    CHECK(code_of(back) == Errc::version);
}

TEST_CASE("schema: a step that fails throws, and the change around it takes back all steps and the version") {
    SQLite::Database db(":memory:", SQLite::OPEN_READWRITE);
    REQUIRE(migrate(db, steps(), "f"));
    auto more = steps();
    more.push_back("CREATE TABLE extra (x)");
    more.push_back("INSERT INTO nowhere VALUES (1)");
    db.exec("BEGIN");
    CHECK_THROWS_AS((void)migrate(db, more, "f"), SQLite::Exception);
    db.exec("ROLLBACK");
    CHECK(number(db, "PRAGMA user_version") == k_schema_version);
    CHECK(number(db, "SELECT count(*) FROM sqlite_schema WHERE name = 'extra'") == 0);
}

/// The first 100 bytes of a file: magic at 0, versions of the journal at 18, user_version at 60,
/// application_id at 68, big-endian. Source: SQLite, "Database File Format", section 1.3.
std::string head(std::uint8_t user_version, const std::string& application, char journal) {
    std::string bytes(100, '\0');
    bytes.replace(0, 15, "SQLite format 3");
    bytes[18] = journal;
    bytes[63] = static_cast<char>(user_version);
    bytes.replace(68, 4, application);
    return bytes;
}

TEST_CASE("schema: a head is ours, newer, or not ours, by 4 of its fields") {
    CHECK(check_head(head(1, "Fetl", 1), "f"));
    CHECK(code_of(check_head(head(k_schema_version + 1, "Fetl", 1), "f")) == Errc::version);
    CHECK(code_of(check_head(head(k_schema_version + 1, "Fetl", 2), "f")) == Errc::version);
    CHECK(code_of(check_head(head(0, "Fetl", 1), "f")) == Errc::garbled);
    CHECK(code_of(check_head(head(1, "Fetm", 1), "f")) == Errc::garbled);
    CHECK(code_of(check_head(head(1, "Fetl", 2), "f")) == Errc::garbled);
    CHECK(code_of(check_head(head(1, "Fetl", 1).substr(0, 99), "f")) == Errc::garbled);
    std::string other = head(1, "Fetl", 1);
    other[3] = 'x';
    CHECK(code_of(check_head(other, "f")) == Errc::garbled);
    std::string negative = head(1, "Fetl", 1);
    negative[60] = '\xFF';
    CHECK(code_of(check_head(negative, "f")) == Errc::garbled);
}

struct Trouble {
    int sqlite_code;
    int system_errno;
    Errc wanted;
};

TEST_CASE("trouble: 21 of SQLite's codes become the program's errors") {
    const std::array<Trouble, 21> all = {{{SQLITE_BUSY, 0, Errc::busy},
                                          {SQLITE_BUSY_RECOVERY, 0, Errc::busy},
                                          {SQLITE_LOCKED, 0, Errc::busy},
                                          {SQLITE_FULL, 0, Errc::disk_full},
                                          {SQLITE_IOERR_WRITE, ENOSPC, Errc::disk_full},
                                          {SQLITE_IOERR_FSYNC, EDQUOT, Errc::disk_full},
                                          {SQLITE_IOERR_FSYNC, EIO, Errc::io},
                                          {SQLITE_CANTOPEN, EACCES, Errc::denied},
                                          {SQLITE_CANTOPEN, EROFS, Errc::denied},
                                          {SQLITE_CANTOPEN, 0, Errc::io},
                                          {SQLITE_NOTADB, 0, Errc::garbled},
                                          {SQLITE_CORRUPT, ENOSPC, Errc::garbled},
                                          {SQLITE_CORRUPT_INDEX, 0, Errc::garbled},
                                          {SQLITE_ERROR, 0, Errc::garbled},
                                          {SQLITE_READONLY, 0, Errc::denied},
                                          {SQLITE_READONLY_DIRECTORY, 0, Errc::denied},
                                          {SQLITE_PERM, 0, Errc::denied},
                                          {SQLITE_TOOBIG, 0, Errc::too_large},
                                          {SQLITE_CONSTRAINT_UNIQUE, 0, Errc::duplicate},
                                          {SQLITE_CONSTRAINT_FOREIGNKEY, 0, Errc::garbled},
                                          {SQLITE_NOMEM, 0, Errc::io}}};
    for (const Trouble& one : all) {
        CAPTURE(one.sqlite_code);
        CAPTURE(one.system_errno);
        CHECK(trouble_code(one.sqlite_code, one.system_errno) == one.wanted);
    }
}

template <typename Thrown>
Error error_of(const Thrown& thrown) {
    try {
        throw thrown;
    } catch (...) {
        return caught_trouble("here", 0).error;
    }
}

TEST_CASE("trouble: 5 kinds of exception become errors, none goes on") {
    CHECK(error_of(SQLite::Exception("locked", SQLITE_BUSY)) == Error{Errc::busy, "here", "locked"});
    CHECK(error_of(SQLite::Exception("ours")) == Error{Errc::garbled, "here", "ours"});
    CHECK(error_of(std::bad_alloc()) == Error{Errc::io, "here", "out of memory"});
    CHECK(error_of(std::runtime_error("odd")) == Error{Errc::garbled, "here", "odd"});
    CHECK(error_of(7) == Error{Errc::io, "here", "unknown"});
}

}  // namespace
}  // namespace fettle::store
