#include "core/store/trouble.hpp"

#include <SQLiteCpp/Exception.h>
#include <errno.h>
#include <sqlite3.h>

#include <exception>
#include <new>

namespace fettle::store {

namespace {

Errc code_of_system(int system_errno, Errc otherwise) {
    switch (system_errno) {
        case ENOSPC:
        case EDQUOT: return Errc::disk_full;
        case EACCES:
        case EPERM:
        case EROFS: return Errc::denied;
        default: return otherwise;
    }
}

}  // namespace

Errc trouble_code(int sqlite_code, int system_errno) {
    switch (sqlite_code & 0xFF) {
        case SQLITE_BUSY:
        case SQLITE_LOCKED: return Errc::busy;
        case SQLITE_FULL: return Errc::disk_full;
        case SQLITE_NOTADB:
        case SQLITE_CORRUPT:
        case SQLITE_ERROR:  // a table or column that must be there is not
        case SQLITE_MISMATCH:
        case SQLITE_SCHEMA: return Errc::garbled;
        case SQLITE_READONLY:
        case SQLITE_PERM:
        case SQLITE_AUTH: return Errc::denied;
        case SQLITE_CANTOPEN:
        case SQLITE_IOERR: return code_of_system(system_errno, Errc::io);
        case SQLITE_TOOBIG: return Errc::too_large;
        case SQLITE_CONSTRAINT:
            return sqlite_code == SQLITE_CONSTRAINT_UNIQUE ? Errc::duplicate : Errc::garbled;
        default: return Errc::io;
    }
}

Unexpected caught_trouble(const std::string& where, int system_errno) {
    try {
        throw;
    } catch (const SQLite::Exception& trouble) {
        // The extended code is not always there; the wrapper's own complaints (no such column) have none at
        // all.
        const int extended = trouble.getExtendedErrorCode();
        const int code = extended > 0                 ? extended
                         : trouble.getErrorCode() > 0 ? trouble.getErrorCode()
                                                      : SQLITE_ERROR;
        return fail(trouble_code(code, system_errno), where, trouble.what());
    } catch (const std::bad_alloc&) {
        return fail(Errc::io, where, "out of memory");
    } catch (const std::exception& trouble) {
        return fail(Errc::garbled, where, trouble.what());
    } catch (...) {
        return fail(Errc::io, where, "unknown");
    }
}

}  // namespace fettle::store
