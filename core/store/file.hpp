#pragma once
// The one SQLite file, for this room's sources only. Exceptions of the SQLite wrapper end here: whatever
// touches the database runs inside read() or change().
// Thread: the store's.

#include <memory>
#include <string>
#include <utility>

#include "core/base/result.hpp"

namespace SQLite {
class Database;
}

namespace fettle::store {

class File {
public:
    /// Opens, checks, brings the tables up to date. Errors: those of Store::open.
    [[nodiscard]] static Result<std::unique_ptr<File>> open(const std::string& path, int busy_timeout_ms);
    ~File();
    File(const File&) = delete;
    File& operator=(const File&) = delete;

    [[nodiscard]] SQLite::Database& database() { return *database_; }

    /// Runs `work` (it gives a Result) on one state of the file: nobody's change shows in the middle.
    template <typename Work>
    auto read(Work&& work) -> decltype(work()) {
        return inside("BEGIN DEFERRED", std::forward<Work>(work));
    }
    /// Runs `work` as one change: an error of it, or an exception, takes everything back.
    template <typename Work>
    auto change(Work&& work) -> decltype(work()) {
        return inside("BEGIN IMMEDIATE", std::forward<Work>(work));
    }

private:
    File(std::string path, std::unique_ptr<SQLite::Database> database);

    /// Takes back what was not committed, at the end of its life.
    struct Undo {
        File& file;
        ~Undo() { file.roll_back(); }
    };
    template <typename Work>
    auto inside(const char* begin, Work&& work) -> decltype(work()) {
        try {
            execute(begin);
            const Undo undo{*this};
            auto result = work();
            if (result) execute("COMMIT");
            return result;
        } catch (...) {
            return caught();
        }
    }
    void execute(const char* sql);
    void roll_back() noexcept;
    /// The error for the exception that is being handled.
    [[nodiscard]] Unexpected caught() const;
    [[nodiscard]] Status prepare();

    std::string path_;
    std::unique_ptr<SQLite::Database> database_;
};

}  // namespace fettle::store
