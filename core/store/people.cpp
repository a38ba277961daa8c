#include <SQLiteCpp/Database.h>
#include <SQLiteCpp/Statement.h>
#include <SQLiteCpp/VariadicBind.h>

#include "core/store/inside.hpp"

namespace fettle::store {

namespace {

constexpr const char* k_where = "person name";

Person person_of(SQLite::Statement& row) {
    return {row.getColumn(0).getInt64(), row.getColumn(1).getString(), row.getColumn(2).getInt64()};
}

Status need_free_person_name(SQLite::Database& db, const std::string& name, std::int64_t but) {
    SQLite::Statement row(db, "SELECT 1 FROM people WHERE name = ? AND id <> ?");
    SQLite::bind(row, name, but);
    if (!row.executeStep()) return Done{};
    return fail(Errc::duplicate, k_where, name);
}

}  // namespace

Result<std::vector<Person>> Store::people() {
    return inside_->file->read([this]() -> Result<std::vector<Person>> {
        std::vector<Person> all;
        SQLite::Statement row(inside_->db(), "SELECT id, name, created_ms FROM people ORDER BY id");
        while (row.executeStep()) all.push_back(person_of(row));
        return all;
    });
}

Result<Person> Store::person(std::int64_t person) {
    return inside_->file->read([&]() -> Result<Person> {
        SQLite::Statement row(inside_->db(), "SELECT id, name, created_ms FROM people WHERE id = ?");
        SQLite::bind(row, person);
        if (!row.executeStep()) return fail(Errc::not_found, "person", std::to_string(person));
        return person_of(row);
    });
}

Result<Person> Store::add_person(std::string_view name) {
    if (Status good = check_name(name, k_where); !good) return good.failure();
    return inside_->file->change([&]() -> Result<Person> {
        SQLite::Database& db = inside_->db();
        Person added{0, std::string(name), inside_->clock.calendar_ms()};
        if (Status free = need_free_person_name(db, added.name, 0); !free) return free.failure();
        SQLite::Statement insert(db, "INSERT INTO people (name, created_ms) VALUES (?, ?)");
        SQLite::bind(insert, added.name, added.created_ms);
        insert.exec();
        added.id = db.getLastInsertRowid();
        return added;
    });
}

Status Store::rename_person(std::int64_t person, std::string_view name) {
    if (Status good = check_name(name, k_where); !good) return good;
    return inside_->file->change([&]() -> Status {
        SQLite::Database& db = inside_->db();
        const std::string to(name);
        if (Status there = need_row(db, "people", "person", person); !there) return there;
        if (Status free = need_free_person_name(db, to, person); !free) return free;
        SQLite::Statement update(db, "UPDATE people SET name = ? WHERE id = ?");
        SQLite::bind(update, to, person);
        update.exec();
        return Done{};
    });
}

Result<std::vector<std::string>> Store::remove_person(std::int64_t person) {
    return inside_->file->change([&]() -> Result<std::vector<std::string>> {
        SQLite::Database& db = inside_->db();
        if (Status there = need_row(db, "people", "person", person); !there) return there.failure();
        std::vector<std::string> files;
        SQLite::Statement row(db, "SELECT file_path FROM recordings WHERE person = ? ORDER BY id");
        SQLite::bind(row, person);
        while (row.executeStep()) files.push_back(row.getColumn(0).getString());
        // Everything else of the person hangs on this row (ON DELETE CASCADE).
        SQLite::Statement remove(db, "DELETE FROM people WHERE id = ?");
        SQLite::bind(remove, person);
        remove.exec();
        return files;
    });
}

}  // namespace fettle::store
