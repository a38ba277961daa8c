#include "core/store/schema.hpp"

#include <SQLiteCpp/Database.h>

#include <cstdint>

#include "core/store/store.hpp"

namespace fettle::store {

namespace {

// Foreign keys: what belongs to a person goes with the person; a device's history outlives a profile.
constexpr const char* k_first_tables = R"sql(
CREATE TABLE people (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    name TEXT NOT NULL UNIQUE,
    created_ms INTEGER NOT NULL
) STRICT;
CREATE TABLE profiles (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    person INTEGER NOT NULL REFERENCES people ON DELETE CASCADE,
    name TEXT NOT NULL,
    profile_id BLOB NOT NULL UNIQUE CHECK (length(profile_id) = 8),
    version INTEGER NOT NULL,
    UNIQUE (person, name)
) STRICT;
CREATE TABLE revisions (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    profile INTEGER NOT NULL REFERENCES profiles ON DELETE CASCADE,
    at_ms INTEGER NOT NULL,
    kind INTEGER NOT NULL,
    note TEXT NOT NULL,
    document TEXT NOT NULL,
    document_crc INTEGER NOT NULL
) STRICT;
CREATE INDEX revisions_of_profile ON revisions (profile, id);
CREATE TABLE device_runs (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    device_serial TEXT NOT NULL,
    image_crc INTEGER NOT NULL,
    person INTEGER REFERENCES people ON DELETE CASCADE,
    profile INTEGER REFERENCES profiles ON DELETE SET NULL,
    revision INTEGER REFERENCES revisions ON DELETE SET NULL,
    profile_name TEXT NOT NULL,
    kind INTEGER NOT NULL,
    at_ms INTEGER NOT NULL
) STRICT;
CREATE INDEX device_runs_of_device ON device_runs (device_serial, id);
CREATE INDEX device_runs_of_person ON device_runs (person);
CREATE INDEX device_runs_of_profile ON device_runs (profile);
CREATE INDEX device_runs_of_revision ON device_runs (revision);
CREATE TABLE recordings (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    person INTEGER NOT NULL REFERENCES people ON DELETE CASCADE,
    profile INTEGER REFERENCES profiles ON DELETE SET NULL,
    name TEXT NOT NULL,
    file_path TEXT NOT NULL,
    at_ms INTEGER NOT NULL,
    duration_ms INTEGER NOT NULL,
    has_usages INTEGER NOT NULL
) STRICT;
CREATE INDEX recordings_of_person ON recordings (person, id);
CREATE INDEX recordings_of_profile ON recordings (profile);
CREATE TABLE settings (
    key TEXT PRIMARY KEY NOT NULL,
    value TEXT NOT NULL
) STRICT, WITHOUT ROWID;
)sql";

Unexpected too_new(int64_t version, std::size_t known, const std::string& where) {
    return fail(Errc::version, where, std::to_string(version) + "; known: 1 to " + std::to_string(known));
}

Unexpected not_ours(const std::string& where) {
    return fail(Errc::garbled, where, "not a file of this program");
}

/// Big-endian, as the file format has it.
int64_t number_at(const std::string& head, std::size_t at) {
    uint32_t value = 0;
    for (std::size_t i = 0; i < 4; ++i) value = (value << 8) | static_cast<uint8_t>(head[at + i]);
    return static_cast<int32_t>(value);
}

}  // namespace

const std::vector<const char*>& steps() {
    static const std::vector<const char*> all = {k_first_tables};
    return all;
}

const std::vector<const char*>& table_probes() {
    static const std::vector<const char*> all = {
        "SELECT id, name, created_ms FROM people LIMIT 1",
        "SELECT id, person, name, profile_id, version FROM profiles LIMIT 1",
        "SELECT id, profile, at_ms, kind, note, document, document_crc FROM revisions LIMIT 1",
        "SELECT id, device_serial, image_crc, person, profile, revision, profile_name, kind, at_ms "
        "FROM device_runs LIMIT 1",
        "SELECT id, person, profile, name, file_path, at_ms, duration_ms, has_usages FROM recordings LIMIT 1",
        "SELECT key, value FROM settings LIMIT 1"};
    return all;
}

Status migrate(SQLite::Database& database, const std::vector<const char*>& all, const std::string& where) {
    const int64_t application = database.execAndGet("PRAGMA application_id").getInt64();
    const int64_t version = database.execAndGet("PRAGMA user_version").getInt64();
    const bool is_empty = database.execAndGet("SELECT count(*) FROM sqlite_schema").getInt64() == 0;
    const bool is_new = is_empty && application == 0 && version == 0;
    if (!is_new && (application != k_application_id || version < 1)) return not_ours(where);
    if (version > static_cast<int64_t>(all.size())) return too_new(version, all.size(), where);
    if (version == static_cast<int64_t>(all.size())) return Done{};
    for (auto step = static_cast<std::size_t>(version); step < all.size(); ++step) database.exec(all[step]);
    database.exec("PRAGMA application_id = " + std::to_string(k_application_id));
    database.exec("PRAGMA user_version = " + std::to_string(all.size()));
    return Done{};
}

Status check_head(const std::string& head, const std::string& where) {
    constexpr std::string_view k_magic{"SQLite format 3\0", 16};
    constexpr std::size_t k_write_version_at = 18;
    constexpr std::size_t k_user_version_at = 60;
    constexpr std::size_t k_application_at = 68;
    if (head.size() < 100 || head.compare(0, k_magic.size(), k_magic) != 0) return not_ours(where);
    if (number_at(head, k_application_at) != k_application_id) return not_ours(where);
    const int64_t version = number_at(head, k_user_version_at);
    if (version > k_schema_version) return too_new(version, std::size_t{k_schema_version}, where);
    // 1: a rollback journal, as this program always has it; 2 would bring further files beside this one.
    if (version < 1 || head[k_write_version_at] != 1) return not_ours(where);
    return Done{};
}

}  // namespace fettle::store
