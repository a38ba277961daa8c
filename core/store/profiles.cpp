// Profiles as entries: who has which. Their content: documents.cpp.
#include <SQLiteCpp/Database.h>
#include <SQLiteCpp/Statement.h>
#include <SQLiteCpp/VariadicBind.h>

#include <algorithm>

#include "core/store/documents.hpp"
#include "core/store/inside.hpp"

namespace fettle::store {

namespace {

void bind_id(SQLite::Statement& statement, int index, const profile::ProfileId& id) {
    statement.bind(index, static_cast<const void*>(id.data()), static_cast<int>(id.size()));
}

bool is_taken(SQLite::Database& db, const profile::ProfileId& id) {
    SQLite::Statement row(db, "SELECT 1 FROM profiles WHERE profile_id = ?");
    bind_id(row, 1, id);
    return row.executeStep();
}

/// `wanted`, or a random one when that is all zeros or taken.
profile::ProfileId free_id(SQLite::Database& db, profile::ProfileId wanted) {
    SQLite::Statement random(db, "SELECT randomblob(8)");
    while (wanted == profile::ProfileId{} || is_taken(db, wanted)) {
        random.reset();
        random.executeStep();
        const std::string bytes = random.getColumn(0).getString();
        std::transform(bytes.begin(), bytes.end(), wanted.begin(),
                       [](char c) { return static_cast<std::uint8_t>(c); });
    }
    return wanted;
}

/// Inside a change. The document has been checked.
Result<ProfileEntry> insert_profile(SQLite::Database& db, std::int64_t person, profile::Profile document,
                                    const RevisionText& why) {
    if (Status there = need_row(db, "people", "person", person); !there) return there.failure();
    if (Status free = need_free_name(db, person, document.name, 0); !free) return free.failure();
    document.id = free_id(db, document.id);
    SQLite::Statement insert(db,
                             "INSERT INTO profiles (person, name, profile_id, version) VALUES (?, ?, ?, ?)");
    insert.bind(1, person);
    insert.bind(2, document.name);
    bind_id(insert, 3, document.id);
    insert.bind(4, document.version);
    insert.exec();
    const std::int64_t profile = db.getLastInsertRowid();
    append_revision(db, profile, document, why);
    return read_entry(db, profile);
}

}  // namespace

Result<std::vector<ProfileEntry>> Store::profiles(std::int64_t person) {
    return inside_->file->read([&]() -> Result<std::vector<ProfileEntry>> {
        if (Status there = need_row(inside_->db(), "people", "person", person); !there)
            return there.failure();
        std::vector<ProfileEntry> all;
        SQLite::Statement row(inside_->db(), std::string(k_entry_query) + "WHERE p.person = ? ORDER BY p.id");
        SQLite::bind(row, person);
        while (row.executeStep()) all.push_back(entry_of(row));
        return all;
    });
}

Result<ProfileEntry> Store::profile(std::int64_t profile) {
    return inside_->file->read([&] { return read_entry(inside_->db(), profile); });
}

Result<std::optional<ProfileEntry>> Store::find_profile(const profile::ProfileId& profile_id) {
    return inside_->file->read([&]() -> Result<std::optional<ProfileEntry>> {
        SQLite::Statement row(inside_->db(), std::string(k_entry_query) + "WHERE p.profile_id = ?");
        bind_id(row, 1, profile_id);
        if (!row.executeStep()) return std::optional<ProfileEntry>();
        return std::optional<ProfileEntry>(entry_of(row));
    });
}

Result<ProfileEntry> Store::add_profile(std::int64_t person, const profile::Profile& profile,
                                        RevisionKind kind, std::string_view note) {
    if (Status good = check_document(profile, note); !good) return good.failure();
    return inside_->file->change([&] {
        return insert_profile(inside_->db(), person, profile,
                              {kind, std::string(note), inside_->clock.calendar_ms()});
    });
}

Result<ProfileEntry> Store::copy_profile(std::int64_t profile, std::int64_t to_person,
                                         std::string_view name) {
    return inside_->file->change([&]() -> Result<ProfileEntry> {
        const auto entry = read_entry(inside_->db(), profile);
        if (!entry) return entry.failure();
        auto document = latest_document(inside_->db(), *entry);
        if (!document) return document.failure();
        document->name = name;
        document->id = {};
        if (Status good = check_document(*document, {}); !good) return good.failure();
        return insert_profile(inside_->db(), to_person, std::move(document).value(),
                              {RevisionKind::copied, {}, inside_->clock.calendar_ms()});
    });
}

Status Store::rename_profile(std::int64_t profile, std::string_view name) {
    return inside_->file->change([&]() -> Status {
        const auto entry = read_entry(inside_->db(), profile);
        if (!entry) return entry.failure();
        auto document = latest_document(inside_->db(), *entry);
        if (!document) return document.failure();
        document->name = name;
        const auto saved = save_document(inside_->db(), *entry, std::move(document).value(),
                                         {RevisionKind::renamed, {}, inside_->clock.calendar_ms()});
        if (!saved) return saved.failure();
        return Done{};
    });
}

Status Store::move_profile(std::int64_t profile, std::int64_t to_person) {
    return inside_->file->change([&]() -> Status {
        SQLite::Database& db = inside_->db();
        const auto entry = read_entry(db, profile);
        if (!entry) return entry.failure();
        if (Status there = need_row(db, "people", "person", to_person); !there) return there;
        if (Status free = need_free_name(db, to_person, entry->name, profile); !free) return free;
        for (const char* sql : {"UPDATE profiles SET person = ? WHERE id = ?",
                                "UPDATE device_runs SET person = ? WHERE profile = ?"}) {
            SQLite::Statement update(db, sql);
            SQLite::bind(update, to_person, profile);
            update.exec();
        }
        return Done{};
    });
}

Status Store::remove_profile(std::int64_t profile) {
    return inside_->file->change([&]() -> Status {
        SQLite::Database& db = inside_->db();
        if (Status there = need_row(db, "profiles", "profile", profile); !there) return there;
        SQLite::Statement remove(db, "DELETE FROM profiles WHERE id = ?");
        SQLite::bind(remove, profile);
        remove.exec();
        return Done{};
    });
}

}  // namespace fettle::store
