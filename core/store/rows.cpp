// Questions that several of the store's sources ask.
#include <SQLiteCpp/Database.h>
#include <SQLiteCpp/Exception.h>
#include <SQLiteCpp/Statement.h>
#include <SQLiteCpp/VariadicBind.h>

#include <algorithm>

#include "core/profile/document.hpp"
#include "core/store/inside.hpp"
#include "core/wire/crc.hpp"

namespace fettle::store {

const char* const k_entry_query =
    "SELECT p.id, p.person, p.name, p.profile_id, p.version, r.at_ms, r.id FROM profiles p "
    "JOIN revisions r ON r.id = (SELECT max(id) FROM revisions WHERE profile = p.id) ";

Status need_row(SQLite::Database& db, const char* table, const char* where, std::int64_t id) {
    SQLite::Statement row(db, std::string("SELECT 1 FROM ") + table + " WHERE id = ?");
    SQLite::bind(row, id);
    if (row.executeStep()) return Done{};
    return fail(Errc::not_found, where, std::to_string(id));
}

ProfileEntry entry_of(SQLite::Statement& row) {
    ProfileEntry entry;
    entry.id = row.getColumn(0).getInt64();
    entry.person = row.getColumn(1).getInt64();
    entry.name = row.getColumn(2).getString();
    const std::string id = row.getColumn(3).getString();
    if (id.size() != entry.profile_id.size()) throw SQLite::Exception("a profile's id is not 8 bytes");
    std::transform(id.begin(), id.end(), entry.profile_id.begin(),
                   [](char c) { return static_cast<std::uint8_t>(c); });
    entry.version = row.getColumn(4).getInt();
    entry.changed_ms = row.getColumn(5).getInt64();
    entry.latest_revision = row.getColumn(6).getInt64();
    return entry;
}

Result<ProfileEntry> read_entry(SQLite::Database& db, std::int64_t profile) {
    SQLite::Statement row(db, std::string(k_entry_query) + "WHERE p.id = ?");
    SQLite::bind(row, profile);
    if (!row.executeStep()) return fail(Errc::not_found, "profile", std::to_string(profile));
    return entry_of(row);
}

Status need_free_name(SQLite::Database& db, std::int64_t person, std::string_view name, std::int64_t but) {
    SQLite::Statement row(db, "SELECT 1 FROM profiles WHERE person = ? AND name = ? AND id <> ?");
    SQLite::bind(row, person, std::string(name), but);
    if (!row.executeStep()) return Done{};
    return fail(Errc::duplicate, "profile name", std::string(name));
}

std::uint32_t document_crc(const std::string& document) {
    std::uint32_t crc = wire::k_crc32_start;
    for (const char c : document) crc = wire::crc32_step(crc, static_cast<std::uint8_t>(c));
    return crc ^ wire::k_crc32_final;
}

Result<std::string> read_document(SQLite::Database& db, std::int64_t revision) {
    SQLite::Statement row(db, "SELECT document, document_crc FROM revisions WHERE id = ?");
    SQLite::bind(row, revision);
    if (!row.executeStep()) return fail(Errc::not_found, "revision", std::to_string(revision));
    std::string document = row.getColumn(0).getString();
    if (document_crc(document) != row.getColumn(1).getUInt())
        return fail(Errc::garbled, "revision " + std::to_string(revision), "not the text that was stored");
    return document;
}

Result<profile::Profile> parse_document(const std::string& document, std::int64_t revision) {
    auto parsed = profile::parse(document);
    if (parsed) return parsed;
    const Error& error = parsed.error();
    return fail(error.code, "revision " + std::to_string(revision) + ": " + error.where, error.detail);
}

int kind_of(const SQLite::Column& column, int kinds) {
    const int kind = column.getInt();
    if (kind < 0 || kind >= kinds) throw SQLite::Exception("a kind that this program does not know");
    return kind;
}

std::optional<std::int64_t> optional_of(const SQLite::Column& column) {
    if (column.isNull()) return std::nullopt;
    return column.getInt64();
}

void bind_optional(SQLite::Statement& statement, int index, const std::optional<std::int64_t>& value) {
    if (value)
        statement.bind(index, *value);
    else
        statement.bind(index);
}

}  // namespace fettle::store
