#pragma once
// What the sources of Store share: the open file, the clock, and the questions that several of them ask.
// Everything here runs inside File::read or File::change and throws what the SQLite wrapper throws.

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>

#include "core/base/clock.hpp"
#include "core/store/file.hpp"
#include "core/store/store.hpp"

namespace SQLite {
class Column;
class Statement;
}  // namespace SQLite

namespace fettle::store {

struct Store::Inside {
    std::unique_ptr<File> file;
    const Clock& clock;
    [[nodiscard]] SQLite::Database& db() { return file->database(); }
};

/// Done when `table` has the row, else not_found with `where` = what is missing ("person" ...).
[[nodiscard]] Status need_row(SQLite::Database& db, const char* table, const char* where, std::int64_t id);

[[nodiscard]] Result<ProfileEntry> read_entry(SQLite::Database& db, std::int64_t profile);

/// The entries that `condition` (SQL over profiles p, with one ?) picks, in the order of their ids.
/// `statement`: ready to step, with the columns of k_entry_columns first.
[[nodiscard]] ProfileEntry entry_of(SQLite::Statement& row);
extern const char* const k_entry_query;

/// Errors: duplicate, when another profile than `but` of this person has the name.
[[nodiscard]] Status need_free_name(SQLite::Database& db, std::int64_t person, std::string_view name,
                                    std::int64_t but);

/// UTF-8 and short enough. Errors: syntax, too_large.
[[nodiscard]] Status check_text(std::string_view text, std::size_t most_bytes, const std::string& where);

/// CRC-32 of a document's text.
[[nodiscard]] std::uint32_t document_crc(const std::string& document);

/// The stored text of a revision. Errors: not_found, garbled (the text is not the one that was stored).
[[nodiscard]] Result<std::string> read_document(SQLite::Database& db, std::int64_t revision);
[[nodiscard]] Result<profile::Profile> parse_document(const std::string& document, std::int64_t revision);

/// Which kind a stored number means. Throws SQLite::Exception for one that this program does not know.
[[nodiscard]] int kind_of(const SQLite::Column& column, int kinds);
[[nodiscard]] std::optional<std::int64_t> optional_of(const SQLite::Column& column);
void bind_optional(SQLite::Statement& statement, int index, const std::optional<std::int64_t>& value);

}  // namespace fettle::store
