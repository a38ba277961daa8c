#include "core/store/file.hpp"

#include <SQLiteCpp/Database.h>
#include <SQLiteCpp/Statement.h>
#include <errno.h>
#include <fcntl.h>
#include <sqlite3.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <filesystem>

#include "core/base/files.hpp"
#include "core/store/schema.hpp"
#include "core/store/store.hpp"
#include "core/store/trouble.hpp"

namespace fettle::store {

namespace {

constexpr const char* k_memory = ":memory:";

/// An open file of the system, closed at the end. Not while a connection of ours is open on the same file:
/// the system would drop that one's locks (POSIX, fcntl).
class Handle {
public:
    explicit Handle(int fd) : fd_(fd) {}
    ~Handle() {
        if (fd_ >= 0) ::close(fd_);
    }
    Handle(const Handle&) = delete;
    Handle& operator=(const Handle&) = delete;
    [[nodiscard]] int get() const { return fd_; }

private:
    int fd_;
};

/// The folder above `path`, "" when the path names none.
std::string folder_of(const std::string& path) {
    return std::filesystem::path(path).parent_path().string();
}

bool has_journal(const std::string& path) {
    struct stat about {};
    return ::stat((path + "-journal").c_str(), &about) == 0;
}

/// Refuses what is not ours before SQLite sees it, so that it stays as it is. A file beside a journal is left
/// to SQLite, which first takes back what was cut off.
Status check_existing(int fd, const std::string& path, const struct stat& about) {
    if ((about.st_mode & 0222u) == 0) return fail(Errc::denied, path, "write-protected");
    if (about.st_size == 0 || has_journal(path)) return Done{};
    std::array<char, 100> head{};
    const ssize_t got = ::pread(fd, head.data(), head.size(), 0);
    if (got < 0) return file_failure(-errno, path);
    return check_head(std::string(head.data(), static_cast<std::size_t>(got)), path);
}

/// Makes what is missing, refuses what is not ours, keeps others out of what is.
Status prepare_path(const std::string& path) {
    if (path.empty()) return fail(Errc::not_found, path, "an empty path");
    if (const std::string folder = folder_of(path); !folder.empty()) {
        if (Status made = make_folder(folder); !made) return made;
    }
    const Handle handle(::open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0600));
    if (handle.get() < 0) return file_failure(-errno, path);
    struct stat about {};
    if (::fstat(handle.get(), &about) != 0) return file_failure(-errno, path);
    if (!S_ISREG(about.st_mode)) return fail(Errc::io, path, "not a regular file");
    if (Status good = check_existing(handle.get(), path, about); !good) return good;
    if ((about.st_mode & 07777u) != 0600 && ::fchmod(handle.get(), 0600) != 0)
        return file_failure(-errno, path);
    return Done{};
}

}  // namespace

File::File(std::string path, std::unique_ptr<SQLite::Database> database)
    : path_(std::move(path)), database_(std::move(database)) {}
File::~File() = default;

Result<std::unique_ptr<File>> File::open(const std::string& path, int busy_timeout_ms) {
    if (path != k_memory) {
        if (Status ready = prepare_path(path); !ready) return ready.failure();
    }
    std::unique_ptr<File> file;
    try {
        file.reset(new File(path, std::make_unique<SQLite::Database>(
                                      path, SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE, busy_timeout_ms)));
    } catch (...) {
        return caught_trouble(path, errno);
    }
    if (Status ready = file->prepare(); !ready) return ready.failure();
    return file;
}

Status File::prepare() {
    try {
        // secure_delete: zeros over what is removed. synchronous EXTRA: the folder, too, is synced when a
        // change is over. trusted_schema, cell_size_check: a forged or damaged file does no harm. No
        // temporary files.
        for (const char* rule :
             {"PRAGMA foreign_keys = ON", "PRAGMA secure_delete = ON", "PRAGMA synchronous = EXTRA",
              "PRAGMA temp_store = MEMORY", "PRAGMA trusted_schema = OFF", "PRAGMA cell_size_check = ON"})
            execute(rule);
    } catch (...) {
        return caught();
    }
    return change([this]() -> Status {
        if (Status done = migrate(*database_, steps(), path_); !done) return done;
        // A journal that was cut off before it counted may hold old content: any change here takes it away.
        if (has_journal(path_)) database_->exec("PRAGMA user_version = " + std::to_string(k_schema_version));
        const std::string said = database_->execAndGet("PRAGMA quick_check(1)").getString();
        if (said != "ok") return fail(Errc::garbled, path_, said);
        for (const char* probe : table_probes()) SQLite::Statement(*database_, probe).executeStep();
        return Done{};
    });
}

void File::execute(const char* sql) {
    SQLite::Statement statement(*database_, sql);
    while (statement.executeStep()) {
    }
}

void File::roll_back() noexcept {
    sqlite3* const handle = database_->getHandle();
    if (sqlite3_get_autocommit(handle) == 0) sqlite3_exec(handle, "ROLLBACK", nullptr, nullptr, nullptr);
}

Unexpected File::caught() const {
    return caught_trouble(path_, sqlite3_system_errno(database_->getHandle()));
}

}  // namespace fettle::store
