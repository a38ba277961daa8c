#include "core/store/documents.hpp"

#include <SQLiteCpp/Database.h>
#include <SQLiteCpp/Statement.h>
#include <SQLiteCpp/VariadicBind.h>

#include "core/profile/document.hpp"

namespace fettle::store {

namespace {

Revision revision_of(SQLite::Statement& row) {
    Revision revision;
    revision.id = row.getColumn(0).getInt64();
    revision.profile = row.getColumn(1).getInt64();
    revision.at_ms = row.getColumn(2).getInt64();
    revision.kind = static_cast<RevisionKind>(kind_of(row.getColumn(3), k_revision_kinds));
    revision.note = row.getColumn(4).getString();
    revision.document_crc = row.getColumn(5).getUInt();
    return revision;
}

constexpr const char* k_revision_query =
    "SELECT id, profile, at_ms, kind, note, document_crc FROM revisions WHERE ";

Result<Revision> read_revision(SQLite::Database& db, std::int64_t id) {
    SQLite::Statement row(db, std::string(k_revision_query) + "id = ?");
    SQLite::bind(row, id);
    if (!row.executeStep()) return fail(Errc::not_found, "revision", std::to_string(id));
    return revision_of(row);
}

Result<profile::Profile> document_of(SQLite::Database& db, std::int64_t revision) {
    const auto text = read_document(db, revision);
    if (!text) return text.failure();
    return parse_document(*text, revision);
}

}  // namespace

Status check_document(const profile::Profile& document, std::string_view note) {
    if (Status good = check_name(document.name, "profile name"); !good) return good;
    if (Status good = check_text(note, k_note_most_bytes, "note"); !good) return good;
    const std::vector<Error> errors = profile::validate(document);
    if (!errors.empty()) return fail(errors.front().code, errors.front().where, errors.front().detail);
    return Done{};
}

Result<profile::Profile> latest_document(SQLite::Database& db, const ProfileEntry& entry) {
    return document_of(db, entry.latest_revision);
}

Revision append_revision(SQLite::Database& db, std::int64_t profile, const profile::Profile& document,
                         const RevisionText& why) {
    const std::string text = profile::write(document);
    Revision revision{0, profile, why.at_ms, why.kind, why.note, document_crc(text)};
    SQLite::Statement insert(db,
                             "INSERT INTO revisions (profile, at_ms, kind, note, document, document_crc) "
                             "VALUES (?, ?, ?, ?, ?, ?)");
    SQLite::bind(insert, profile, why.at_ms, static_cast<int>(why.kind), why.note, text,
                 revision.document_crc);
    insert.exec();
    revision.id = db.getLastInsertRowid();
    return revision;
}

Result<Saved> save_document(SQLite::Database& db, const ProfileEntry& entry, profile::Profile document,
                            const RevisionText& why) {
    document.id = entry.profile_id;
    if (Status good = check_document(document, why.note); !good) return good.failure();
    const auto before = read_document(db, entry.latest_revision);
    // A damaged text does not stop the next save: it is what mends the profile.
    if (before && *before == profile::write(document)) {
        const auto latest = read_revision(db, entry.latest_revision);
        if (!latest) return latest.failure();
        return Saved{*latest, false};
    }
    if (Status free = need_free_name(db, entry.person, document.name, entry.id); !free) return free.failure();
    const Revision added = append_revision(db, entry.id, document, why);
    SQLite::Statement update(db, "UPDATE profiles SET name = ?, version = ? WHERE id = ?");
    SQLite::bind(update, document.name, document.version, entry.id);
    update.exec();
    return Saved{added, true};
}

Result<profile::Profile> Store::load(std::int64_t profile) {
    return inside_->file->read([&]() -> Result<profile::Profile> {
        const auto entry = read_entry(inside_->db(), profile);
        if (!entry) return entry.failure();
        return latest_document(inside_->db(), *entry);
    });
}

Result<Saved> Store::save(std::int64_t profile, const profile::Profile& document, RevisionKind kind,
                          std::string_view note) {
    return inside_->file->change([&]() -> Result<Saved> {
        const auto entry = read_entry(inside_->db(), profile);
        if (!entry) return entry.failure();
        return save_document(inside_->db(), *entry, document,
                             {kind, std::string(note), inside_->clock.calendar_ms()});
    });
}

Result<std::vector<Revision>> Store::revisions(std::int64_t profile) {
    return inside_->file->read([&]() -> Result<std::vector<Revision>> {
        if (Status there = need_row(inside_->db(), "profiles", "profile", profile); !there)
            return there.failure();
        std::vector<Revision> all;
        SQLite::Statement row(inside_->db(), std::string(k_revision_query) + "profile = ? ORDER BY id DESC");
        SQLite::bind(row, profile);
        while (row.executeStep()) all.push_back(revision_of(row));
        return all;
    });
}

Result<profile::Profile> Store::load_revision(std::int64_t revision) {
    return inside_->file->read([&] { return document_of(inside_->db(), revision); });
}

Result<Saved> Store::restore(std::int64_t revision, std::string_view note) {
    return inside_->file->change([&]() -> Result<Saved> {
        SQLite::Database& db = inside_->db();
        const auto earlier = read_revision(db, revision);
        if (!earlier) return earlier.failure();
        const auto entry = read_entry(db, earlier->profile);
        if (!entry) return entry.failure();
        auto document = document_of(db, revision);
        if (!document) return document.failure();
        document->name = entry->name;
        return save_document(db, *entry, std::move(document).value(),
                             {RevisionKind::restored, std::string(note), inside_->clock.calendar_ms()});
    });
}

}  // namespace fettle::store
