#include <SQLiteCpp/Database.h>
#include <SQLiteCpp/Statement.h>
#include <SQLiteCpp/VariadicBind.h>

#include "core/store/inside.hpp"

namespace fettle::store {

Result<std::optional<std::string>> Store::setting(std::string_view key) {
    return inside_->file->read([&]() -> Result<std::optional<std::string>> {
        SQLite::Statement row(inside_->db(), "SELECT value FROM settings WHERE key = ?");
        SQLite::bind(row, std::string(key));
        if (!row.executeStep()) return std::optional<std::string>();
        return std::optional<std::string>(row.getColumn(0).getString());
    });
}

Status Store::set_setting(std::string_view key, std::string_view value) {
    if (Status good = check_name(key, "setting"); !good) return good;
    if (Status good = check_text(value, k_setting_most_bytes, std::string(key)); !good) return good;
    return inside_->file->change([&]() -> Status {
        SQLite::Statement put(inside_->db(),
                              "INSERT INTO settings (key, value) VALUES (?, ?) "
                              "ON CONFLICT (key) DO UPDATE SET value = excluded.value");
        SQLite::bind(put, std::string(key), std::string(value));
        put.exec();
        return Done{};
    });
}

Status Store::forget_setting(std::string_view key) {
    return inside_->file->change([&]() -> Status {
        SQLite::Statement remove(inside_->db(), "DELETE FROM settings WHERE key = ?");
        SQLite::bind(remove, std::string(key));
        remove.exec();
        return Done{};
    });
}

Result<std::map<std::string, std::string>> Store::settings() {
    return inside_->file->read([&]() -> Result<std::map<std::string, std::string>> {
        std::map<std::string, std::string> all;
        SQLite::Statement row(inside_->db(), "SELECT key, value FROM settings");
        while (row.executeStep()) all[row.getColumn(0).getString()] = row.getColumn(1).getString();
        return all;
    });
}

}  // namespace fettle::store
