#include "tests/store/cut_disk.hpp"

#include <errno.h>
#include <signal.h>
#include <sqlite3.h>
#include <string.h>
#include <unistd.h>

#include <algorithm>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

namespace fettle::test {

namespace {

/// A write or cut that was not synced yet, and what the place held before.
struct Unsynced {
    sqlite3_file* real;
    sqlite3_int64 at;
    std::string before;
    sqlite3_int64 size_before;
};

/// A file whose removal was not synced: its name comes back.
struct Removed {
    std::string path;
    std::string content;
};

struct ShimFile {
    sqlite3_file base;
    sqlite3_file* real;  ///< lies right behind this struct
};

}  // namespace

struct CutDisk::State {
    Cut cut;
    int at_step;
    int error;
    int step = 0;
    sqlite3_vfs* under = nullptr;
    sqlite3_vfs shim{};
    std::vector<Unsynced> unsynced;
    std::vector<Removed> removed;
};

namespace {

CutDisk::State* g_state = nullptr;

/// Takes back what the lost power takes: newest first.
void lose_power(bool in_part) {
    const auto& all = g_state->unsynced;
    for (size_t i = all.size(); i-- > 0;) {
        if (in_part && i % 2 == 1) continue;
        const Unsynced& one = all[i];
        if (!one.before.empty())
            one.real->pMethods->xWrite(one.real, one.before.data(), static_cast<int>(one.before.size()),
                                       one.at);
        one.real->pMethods->xTruncate(one.real, one.size_before);
    }
    for (const Removed& one : g_state->removed) std::ofstream(one.path, std::ios::binary) << one.content;
}

[[noreturn]] void die() {
    ::raise(SIGKILL);
    std::abort();
}

/// SQLITE_OK when the step may be made. Does not return when the process ends here.
int begin_step(ShimFile* file = nullptr, const void* data = nullptr, int size = 0, sqlite3_int64 at = 0) {
    CutDisk::State& s = *g_state;
    const int now = s.step++;
    const bool is_on = now == s.at_step || (s.cut == Cut::fails_on && now > s.at_step);
    if (!is_on) return SQLITE_OK;
    switch (s.cut) {
        case Cut::none:
        case Cut::fails_late: return SQLITE_OK;
        case Cut::fails_once:
        case Cut::fails_on: return s.error;
        case Cut::half_kill:
            if (data != nullptr) file->real->pMethods->xWrite(file->real, data, size / 2, at);
            die();
        case Cut::kill: die();
        case Cut::power:
        case Cut::power_in_part: lose_power(s.cut == Cut::power_in_part); die();
    }
    return SQLITE_OK;
}

ShimFile* shim(sqlite3_file* file) {
    return reinterpret_cast<ShimFile*>(file);
}
sqlite3_file* real(sqlite3_file* file) {
    return shim(file)->real;
}

void remember(sqlite3_file* under, sqlite3_int64 at, sqlite3_int64 count) {
    sqlite3_int64 size = 0;
    under->pMethods->xFileSize(under, &size);
    std::string before;
    if (at < size) {
        before.resize(static_cast<size_t>(std::min(count, size - at)));
        under->pMethods->xRead(under, before.data(), static_cast<int>(before.size()), at);
    }
    g_state->unsynced.push_back({under, at, before, size});
}

void forget(sqlite3_file* under) {
    std::erase_if(g_state->unsynced, [under](const Unsynced& one) { return one.real == under; });
}

int shim_close(sqlite3_file* file) {
    // What was not synced by now is taken as kept: nothing can be taken back from a file that is closed.
    forget(real(file));
    return real(file)->pMethods->xClose(real(file));
}
int shim_read(sqlite3_file* file, void* to, int size, sqlite3_int64 at) {
    return real(file)->pMethods->xRead(real(file), to, size, at);
}
int shim_write(sqlite3_file* file, const void* from, int size, sqlite3_int64 at) {
    if (const int error = begin_step(shim(file), from, size, at); error != SQLITE_OK) return error;
    remember(real(file), at, size);
    return real(file)->pMethods->xWrite(real(file), from, size, at);
}
int shim_truncate(sqlite3_file* file, sqlite3_int64 size) {
    if (const int error = begin_step(); error != SQLITE_OK) return error;
    sqlite3_int64 before = 0;
    real(file)->pMethods->xFileSize(real(file), &before);
    remember(real(file), size, before - size);
    return real(file)->pMethods->xTruncate(real(file), size);
}
int shim_sync(sqlite3_file* file, int) {
    if (const int error = begin_step(); error != SQLITE_OK) return error;
    forget(real(file));
    return SQLITE_OK;
}
int shim_file_size(sqlite3_file* file, sqlite3_int64* size) {
    return real(file)->pMethods->xFileSize(real(file), size);
}
int shim_lock(sqlite3_file* file, int level) {
    return real(file)->pMethods->xLock(real(file), level);
}
int shim_unlock(sqlite3_file* file, int level) {
    return real(file)->pMethods->xUnlock(real(file), level);
}
int shim_check_lock(sqlite3_file* file, int* result) {
    return real(file)->pMethods->xCheckReservedLock(real(file), result);
}
int shim_control(sqlite3_file* file, int what, void* argument) {
    return real(file)->pMethods->xFileControl(real(file), what, argument);
}
int shim_sector(sqlite3_file* file) {
    return real(file)->pMethods->xSectorSize(real(file));
}
int shim_traits(sqlite3_file*) {
    return 0;  // promises nothing: no atomic write, no safe append
}

const sqlite3_io_methods k_methods = {
    1,         shim_close,  shim_read,       shim_write,   shim_truncate, shim_sync,   shim_file_size,
    shim_lock, shim_unlock, shim_check_lock, shim_control, shim_sector,   shim_traits, nullptr,
    nullptr,   nullptr,     nullptr,         nullptr,      nullptr};

int shim_open(sqlite3_vfs*, const char* name, sqlite3_file* file, int flags, int* out_flags) {
    CutDisk::State& s = *g_state;
    file->pMethods = nullptr;
    int exists = 0;
    if (name != nullptr) s.under->xAccess(s.under, name, SQLITE_ACCESS_EXISTS, &exists);
    if (exists == 0) {
        if (const int error = begin_step(); error != SQLITE_OK)
            return SQLITE_CANTOPEN;  // as the system's VFS has it; the reason is in xGetLastError
    }
    shim(file)->real = reinterpret_cast<sqlite3_file*>(reinterpret_cast<char*>(file) + sizeof(ShimFile));
    const int result = s.under->xOpen(s.under, name, real(file), flags, out_flags);
    if (real(file)->pMethods != nullptr) file->pMethods = &k_methods;
    return result;
}
int shim_delete(sqlite3_vfs*, const char* name, int is_synced) {
    if (const int error = begin_step(); error != SQLITE_OK) return error;
    if (is_synced == 0) {
        std::ifstream file(name, std::ios::binary);
        g_state->removed.push_back({name, std::string(std::istreambuf_iterator<char>(file), {})});
    }
    const int result = g_state->under->xDelete(g_state->under, name, 0);
    return g_state->cut == Cut::fails_late ? g_state->error : result;
}

int shim_last_error(sqlite3_vfs*, int size, char* text) {
    CutDisk::State& s = *g_state;
    const bool has_failed = s.error != SQLITE_OK && s.step > s.at_step;
    if (has_failed) return s.error == SQLITE_FULL ? ENOSPC : EIO;
    return s.under->xGetLastError(s.under, size, text);
}

}  // namespace

CutDisk::CutDisk(Cut cut, int at_step, int error)
    : state_(new State{cut, at_step, error, 0, nullptr, {}, {}, {}}) {
    State& s = *state_;
    s.under = sqlite3_vfs_find(nullptr);
    s.shim = *s.under;
    s.shim.zName = "fettle-cut";
    s.shim.szOsFile = s.under->szOsFile + static_cast<int>(sizeof(ShimFile));
    s.shim.pNext = nullptr;
    s.shim.xOpen = shim_open;
    s.shim.xDelete = shim_delete;
    s.shim.xGetLastError = shim_last_error;
    g_state = state_.get();
    sqlite3_vfs_register(&s.shim, 1);
}

CutDisk::~CutDisk() {
    sqlite3_vfs_unregister(&state_->shim);
    sqlite3_vfs_register(state_->under, 1);
    g_state = nullptr;
}

void CutDisk::lose_power_now() {
    lose_power(false);
    die();
}

}  // namespace fettle::test
