// What each device has run.
#include <SQLiteCpp/Database.h>
#include <SQLiteCpp/Statement.h>
#include <SQLiteCpp/VariadicBind.h>

#include <algorithm>
#include <limits>

#include "core/store/inside.hpp"

namespace fettle::store {

namespace {

constexpr const char* k_where_profile_name = "profile name";

DeviceRun run_of(SQLite::Statement& row) {
    DeviceRun run;
    run.id = row.getColumn(0).getInt64();
    run.device_serial = row.getColumn(1).getString();
    run.image_crc = row.getColumn(2).getUInt();
    run.person = optional_of(row.getColumn(3));
    run.profile = optional_of(row.getColumn(4));
    run.revision = optional_of(row.getColumn(5));
    run.profile_name = row.getColumn(6).getString();
    run.kind = static_cast<RunKind>(kind_of(row.getColumn(7), k_run_kinds));
    run.at_ms = row.getColumn(8).getInt64();
    return run;
}

/// Fills in what the profile says; a revision must be one of its own.
Status complete(SQLite::Database& db, DeviceRun& run) {
    run.person.reset();
    if (run.revision && !run.profile) return fail(Errc::not_found, "profile", "none, but a revision");
    if (!run.profile) return Done{};
    const auto entry = read_entry(db, *run.profile);
    if (!entry) return entry.failure();
    run.person = entry->person;
    if (run.profile_name.empty()) run.profile_name = entry->name;
    if (!run.revision) return Done{};
    SQLite::Statement row(db, "SELECT 1 FROM revisions WHERE id = ? AND profile = ?");
    SQLite::bind(row, *run.revision, *run.profile);
    if (row.executeStep()) return Done{};
    return fail(Errc::not_found, "revision", std::to_string(*run.revision));
}

}  // namespace

Result<DeviceRun> Store::note_run(const DeviceRun& run) {
    if (Status good = check_name(run.device_serial, "device serial"); !good) return good.failure();
    if (!run.profile_name.empty()) {
        if (Status good = check_name(run.profile_name, k_where_profile_name); !good) return good.failure();
    }
    return inside_->file->change([&]() -> Result<DeviceRun> {
        SQLite::Database& db = inside_->db();
        DeviceRun stored = run;
        if (Status known = complete(db, stored); !known) return known.failure();
        stored.at_ms = inside_->clock.calendar_ms();
        SQLite::Statement insert(db,
                                 "INSERT INTO device_runs (device_serial, image_crc, person, profile, "
                                 "revision, profile_name, kind, at_ms) VALUES (?, ?, ?, ?, ?, ?, ?, ?)");
        insert.bind(1, stored.device_serial);
        insert.bind(2, stored.image_crc);
        bind_optional(insert, 3, stored.person);
        bind_optional(insert, 4, stored.profile);
        bind_optional(insert, 5, stored.revision);
        insert.bind(6, stored.profile_name);
        insert.bind(7, static_cast<int>(stored.kind));
        insert.bind(8, stored.at_ms);
        insert.exec();
        stored.id = db.getLastInsertRowid();
        return stored;
    });
}

Result<std::vector<DeviceRun>> Store::runs(std::string_view device_serial, std::size_t limit) {
    return inside_->file->read([&]() -> Result<std::vector<DeviceRun>> {
        std::vector<DeviceRun> all;
        SQLite::Statement row(
            inside_->db(),
            "SELECT id, device_serial, image_crc, person, profile, revision, profile_name, "
            "kind, at_ms FROM device_runs WHERE device_serial = ? ORDER BY id DESC LIMIT ?");
        constexpr auto most = static_cast<std::size_t>(std::numeric_limits<std::int64_t>::max());
        SQLite::bind(row, std::string(device_serial), static_cast<std::int64_t>(std::min(limit, most)));
        while (row.executeStep()) all.push_back(run_of(row));
        return all;
    });
}

Result<std::vector<DeviceEntry>> Store::devices() {
    return inside_->file->read([&]() -> Result<std::vector<DeviceEntry>> {
        std::vector<DeviceEntry> all;
        // By id, not by time: the calendar may have jumped. Bare columns of min() and max() are the rows'
        // own.
        SQLite::Statement row(
            inside_->db(),
            "SELECT d.device_serial, a.at_ms, z.at_ms FROM (SELECT device_serial, min(id) AS first_id, "
            "max(id) AS last_id FROM device_runs GROUP BY device_serial) d "
            "JOIN device_runs a ON a.id = d.first_id JOIN device_runs z ON z.id = d.last_id "
            "ORDER BY d.device_serial");
        while (row.executeStep())
            all.push_back(
                {row.getColumn(0).getString(), row.getColumn(1).getInt64(), row.getColumn(2).getInt64()});
        return all;
    });
}

}  // namespace fettle::store
