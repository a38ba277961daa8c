#pragma once
// The program's diary for whoever gets the phone call: what was opened, pushed, kept, reverted, refused.
// Never what a person pressed or typed: no usages, no stored text, no names. Callers pass plain sentences of
// their own and numbers; what came from a profile or a device's labels does not belong here.

#include <cstdint>
#include <memory>
#include <mutex>
#include <string>
#include <string_view>

#include "core/base/clock.hpp"
#include "core/base/result.hpp"

namespace fettle {

struct LogLimits {
    size_t file_bytes = 256 * 1024;  ///< a file that would grow beyond is put aside
    int old_files = 2;               ///< fettle.log.1 is the newest of these
    size_t line_bytes = 1000;        ///< a longer line is cut
};

/// `folder`/fettle.log, mode 0600. One call, one line: "2026-01-05T09:00:00.000Z sentence". Thread: any.
/// A line that could not be written is counted: a full disk must not stop the program.
class Log {
public:
    /// Makes the folder. Errors: those of make_folder and of opening. `clock` outlives the log.
    [[nodiscard]] static Result<std::unique_ptr<Log>> open(const std::string& folder, const Clock& clock,
                                                           const LogLimits& limits = {});
    ~Log();
    Log(const Log&) = delete;
    Log& operator=(const Log&) = delete;

    /// Control characters and bytes that are no UTF-8 become '?', so that nothing can forge a line.
    void line(std::string_view sentence);

    [[nodiscard]] uint64_t lost_lines() const;

private:
    Log(std::string path, const Clock& clock, const LogLimits& limits);
    [[nodiscard]] Status open_file();
    void rotate();

    const std::string path_;
    const Clock& clock_;
    const LogLimits limits_;
    mutable std::mutex mutex_;
    int handle_ = -1;
    size_t bytes_ = 0;
    uint64_t lost_lines_ = 0;
};

/// "2026-01-05T09:00:00.000Z". Source: RFC 3339, section 5.6.
[[nodiscard]] std::string calendar_text(int64_t calendar_ms);

}  // namespace fettle
