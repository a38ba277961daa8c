// The list of recordings. Their files are the caller's.
#include <SQLiteCpp/Database.h>
#include <SQLiteCpp/Statement.h>
#include <SQLiteCpp/VariadicBind.h>

#include "core/store/inside.hpp"

namespace fettle::store {

namespace {

constexpr const char* k_where_name = "recording name";

RecordingEntry recording_of(SQLite::Statement& row) {
    RecordingEntry entry;
    entry.id = row.getColumn(0).getInt64();
    entry.person = row.getColumn(1).getInt64();
    entry.profile = optional_of(row.getColumn(2));
    entry.name = row.getColumn(3).getString();
    entry.file_path = row.getColumn(4).getString();
    entry.at_ms = row.getColumn(5).getInt64();
    entry.duration_ms = row.getColumn(6).getInt64();
    entry.has_usages = row.getColumn(7).getInt() != 0;
    return entry;
}

Status check_recording(const RecordingEntry& entry) {
    if (Status good = check_name(entry.name, k_where_name); !good) return good;
    if (entry.file_path.empty()) return fail(Errc::out_of_range, "file path", "empty");
    if (entry.file_path.size() > k_path_most_bytes)
        return fail(Errc::too_large, "file path", std::to_string(entry.file_path.size()) + " bytes");
    if (entry.duration_ms < 0)
        return fail(Errc::out_of_range, "duration", std::to_string(entry.duration_ms) + " ms");
    return Done{};
}

}  // namespace

Result<RecordingEntry> Store::add_recording(const RecordingEntry& recording) {
    if (Status good = check_recording(recording); !good) return good.failure();
    return inside_->file->change([&]() -> Result<RecordingEntry> {
        SQLite::Database& db = inside_->db();
        RecordingEntry stored = recording;
        stored.at_ms = inside_->clock.calendar_ms();
        if (Status there = need_row(db, "people", "person", stored.person); !there) return there.failure();
        if (stored.profile) {
            if (Status there = need_row(db, "profiles", "profile", *stored.profile); !there)
                return there.failure();
        }
        SQLite::Statement insert(db,
                                 "INSERT INTO recordings (person, profile, name, file_path, at_ms, "
                                 "duration_ms, has_usages) VALUES (?, ?, ?, ?, ?, ?, ?)");
        insert.bind(1, stored.person);
        bind_optional(insert, 2, stored.profile);
        insert.bind(3, stored.name);
        insert.bind(4, stored.file_path);
        insert.bind(5, stored.at_ms);
        insert.bind(6, stored.duration_ms);
        insert.bind(7, stored.has_usages ? 1 : 0);
        insert.exec();
        stored.id = db.getLastInsertRowid();
        return stored;
    });
}

Result<std::vector<RecordingEntry>> Store::recordings(std::int64_t person) {
    return inside_->file->read([&]() -> Result<std::vector<RecordingEntry>> {
        if (Status there = need_row(inside_->db(), "people", "person", person); !there)
            return there.failure();
        std::vector<RecordingEntry> all;
        SQLite::Statement row(inside_->db(),
                              "SELECT id, person, profile, name, file_path, at_ms, duration_ms, has_usages "
                              "FROM recordings WHERE person = ? ORDER BY id DESC");
        SQLite::bind(row, person);
        while (row.executeStep()) all.push_back(recording_of(row));
        return all;
    });
}

Status Store::rename_recording(std::int64_t recording, std::string_view name) {
    if (Status good = check_name(name, k_where_name); !good) return good;
    return inside_->file->change([&]() -> Status {
        SQLite::Database& db = inside_->db();
        if (Status there = need_row(db, "recordings", "recording", recording); !there) return there;
        SQLite::Statement update(db, "UPDATE recordings SET name = ? WHERE id = ?");
        SQLite::bind(update, std::string(name), recording);
        update.exec();
        return Done{};
    });
}

Status Store::remove_recording(std::int64_t recording) {
    return inside_->file->change([&]() -> Status {
        SQLite::Database& db = inside_->db();
        if (Status there = need_row(db, "recordings", "recording", recording); !there) return there;
        SQLite::Statement remove(db, "DELETE FROM recordings WHERE id = ?");
        SQLite::bind(remove, recording);
        remove.exec();
        return Done{};
    });
}

}  // namespace fettle::store
