#pragma once
// Documents and their revisions, for this room's sources. All but check_document run inside File::change or
// File::read and throw what the SQLite wrapper throws.

#include <cstdint>
#include <string>
#include <string_view>

#include "core/store/inside.hpp"

namespace fettle::store {

/// What a new revision says of itself.
struct RevisionText {
    RevisionKind kind = RevisionKind::edited;
    std::string note;
    std::int64_t at_ms = 0;
};

/// Name, content, note. Errors: those of Store::save that need no look into the file.
[[nodiscard]] Status check_document(const profile::Profile& document, std::string_view note);

[[nodiscard]] Result<profile::Profile> latest_document(SQLite::Database& db, const ProfileEntry& entry);

/// Adds it whatever it holds; `document` has been checked.
Revision append_revision(SQLite::Database& db, std::int64_t profile, const profile::Profile& document,
                         const RevisionText& why);

/// All of Store::save.
[[nodiscard]] Result<Saved> save_document(SQLite::Database& db, const ProfileEntry& entry,
                                          profile::Profile document, const RevisionText& why);

}  // namespace fettle::store
