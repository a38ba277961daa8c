// Everything about one person as one JSON text, for the person to take along. Its form, version 1:
//   fettle_export  1
//   exported_ms    when (ms since 1970-01-01 UTC; so are all *_ms)
//   person         {name, created_ms}
//   profiles       [{name, profile_id (16 hex digits), version, revisions}], revisions oldest first:
//                  [{revision, at_ms, kind, note, document}], document as a profile file has it
//   device_runs    oldest first: [{device_serial, image_crc, profile_name, revision or null, kind, at_ms}]
//   recordings     oldest first: [{name, file_path, at_ms, duration_ms, has_usages}]; the files are not in it
// Kinds are the words of kinds.hpp; image_crc is 8 hex digits.
#include <SQLiteCpp/Database.h>
#include <SQLiteCpp/Statement.h>
#include <SQLiteCpp/VariadicBind.h>

#include <array>
#include <cstdio>
#include <nlohmann/json.hpp>

#include "core/store/inside.hpp"
#include "core/store/kinds.hpp"

namespace fettle::store {

namespace {

using Json = nlohmann::ordered_json;

std::string hex(const profile::ProfileId& id) {
    static constexpr const char* k_digits = "0123456789abcdef";
    std::string text;
    for (const std::uint8_t byte : id) {
        text += k_digits[byte >> 4];
        text += k_digits[byte & 15];
    }
    return text;
}

std::string hex(std::uint32_t value) {
    std::array<char, 9> text{};
    std::snprintf(text.data(), text.size(), "%08x", value);
    return text.data();
}

Result<Json> revisions_of(SQLite::Database& db, std::int64_t profile) {
    Json all = Json::array();
    SQLite::Statement row(db, "SELECT id, at_ms, kind, note FROM revisions WHERE profile = ? ORDER BY id");
    SQLite::bind(row, profile);
    while (row.executeStep()) {
        const std::int64_t id = row.getColumn(0).getInt64();
        const auto document = read_document(db, id);
        if (!document) return document.failure();
        const auto kind = static_cast<RevisionKind>(kind_of(row.getColumn(2), k_revision_kinds));
        all.push_back({{"revision", id},
                       {"at_ms", row.getColumn(1).getInt64()},
                       {"kind", kind_word(kind)},
                       {"note", row.getColumn(3).getString()},
                       {"document", Json::parse(*document)}});
    }
    return all;
}

Result<Json> profiles_of(SQLite::Database& db, std::int64_t person) {
    Json all = Json::array();
    SQLite::Statement row(db, std::string(k_entry_query) + "WHERE p.person = ? ORDER BY p.id");
    SQLite::bind(row, person);
    while (row.executeStep()) {
        const ProfileEntry entry = entry_of(row);
        auto revisions = revisions_of(db, entry.id);
        if (!revisions) return revisions.failure();
        all.push_back({{"name", entry.name},
                       {"profile_id", hex(entry.profile_id)},
                       {"version", entry.version},
                       {"revisions", std::move(revisions).value()}});
    }
    return all;
}

Json runs_of(SQLite::Database& db, std::int64_t person) {
    Json all = Json::array();
    SQLite::Statement row(db,
                          "SELECT device_serial, image_crc, profile_name, revision, kind, at_ms "
                          "FROM device_runs WHERE person = ? ORDER BY id");
    SQLite::bind(row, person);
    while (row.executeStep()) {
        const auto revision = optional_of(row.getColumn(3));
        const auto kind = static_cast<RunKind>(kind_of(row.getColumn(4), k_run_kinds));
        all.push_back({{"device_serial", row.getColumn(0).getString()},
                       {"image_crc", hex(row.getColumn(1).getUInt())},
                       {"profile_name", row.getColumn(2).getString()},
                       {"revision", revision ? Json(*revision) : Json()},
                       {"kind", kind_word(kind)},
                       {"at_ms", row.getColumn(5).getInt64()}});
    }
    return all;
}

Json recordings_of(SQLite::Database& db, std::int64_t person) {
    Json all = Json::array();
    SQLite::Statement row(db,
                          "SELECT name, file_path, at_ms, duration_ms, has_usages FROM recordings "
                          "WHERE person = ? ORDER BY id");
    SQLite::bind(row, person);
    while (row.executeStep())
        all.push_back({{"name", row.getColumn(0).getString()},
                       {"file_path", row.getColumn(1).getString()},
                       {"at_ms", row.getColumn(2).getInt64()},
                       {"duration_ms", row.getColumn(3).getInt64()},
                       {"has_usages", row.getColumn(4).getInt() != 0}});
    return all;
}

}  // namespace

Result<std::string> Store::export_person(std::int64_t person) {
    return inside_->file->read([&]() -> Result<std::string> {
        SQLite::Database& db = inside_->db();
        SQLite::Statement row(db, "SELECT name, created_ms FROM people WHERE id = ?");
        SQLite::bind(row, person);
        if (!row.executeStep()) return fail(Errc::not_found, "person", std::to_string(person));
        auto profiles = profiles_of(db, person);
        if (!profiles) return profiles.failure();
        Json whole;
        whole["fettle_export"] = 1;
        whole["exported_ms"] = inside_->clock.calendar_ms();
        whole["person"] = {{"name", row.getColumn(0).getString()},
                           {"created_ms", row.getColumn(1).getInt64()}};
        whole["profiles"] = std::move(profiles).value();
        whole["device_runs"] = runs_of(db, person);
        whole["recordings"] = recordings_of(db, person);
        // A path may be any bytes; what is no UTF-8 in it becomes U+FFFD.
        return whole.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
    });
}

}  // namespace fettle::store
