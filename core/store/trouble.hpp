#pragma once
// What SQLite says went wrong, as this program's errors.

#include <string>

#include "core/base/result.hpp"

namespace fettle::store {

/// sqlite_code: an extended result code; system_errno: what the system said last, 0 when it said nothing.
/// Source of the codes: SQLite's "Result and Error Codes" (sqlite3.h).
[[nodiscard]] Errc trouble_code(int sqlite_code, int system_errno);

/// The error for the exception that is being handled: call it in a catch block only.
[[nodiscard]] Unexpected caught_trouble(const std::string& where, int system_errno);

}  // namespace fettle::store
