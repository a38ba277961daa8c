#pragma once
// The file's tables, and the steps that bring an older file up to them.
// A new table or column: a new step at the end of steps(), k_schema_version one higher, the columns in
// table_probes(). A step that files went through is never edited.

#include <string>
#include <vector>

#include "core/base/result.hpp"

namespace SQLite {
class Database;
}

namespace fettle::store {

/// In every file of ours, at byte 68 (PRAGMA application_id). "Fetl" in ASCII.
inline constexpr int k_application_id = 0x4665746C;

/// Step i brings a file from version i to i + 1.
[[nodiscard]] const std::vector<const char*>& steps();

/// One query for each table that names every column this program reads.
[[nodiscard]] const std::vector<const char*>& table_probes();

/// Throws what the SQLite wrapper throws; the caller has a transaction open. `all`: steps(), or a test's own.
/// Errors: version (the file is beyond the last step), garbled (another program's).
[[nodiscard]] Status migrate(SQLite::Database& database, const std::vector<const char*>& all,
                             const std::string& where);

/// The first bytes of a file that nobody is in the middle of changing (100 are enough).
/// Source: SQLite's "Database File Format", section 1.3. Errors: version, garbled.
[[nodiscard]] Status check_head(const std::string& head, const std::string& where);

}  // namespace fettle::store
