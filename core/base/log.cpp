#include "core/base/log.hpp"

#include <errno.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include <cstdio>

#include "core/base/files.hpp"
#include "core/base/utf8.hpp"

namespace fettle {

namespace {

std::string one_line(std::string_view sentence, size_t limit) {
    std::string text(sentence);
    for (size_t bad = first_bad_utf8(text); bad != k_all_utf8; bad = first_bad_utf8(text)) text[bad] = '?';
    for (char& c : text) {
        const auto byte = static_cast<unsigned char>(c);
        if (byte < 0x20 || byte == 0x7F) c = '?';
    }
    if (text.size() > limit) {
        size_t end = limit;
        while (end > 0 && (static_cast<unsigned char>(text[end]) & 0xC0u) == 0x80u)
            --end;  // not inside a character
        text.resize(end);
        text += "...";
    }
    return text;
}

}  // namespace

std::string calendar_text(int64_t calendar_ms) {
    int64_t seconds = calendar_ms / 1000;
    int64_t rest_ms = calendar_ms % 1000;
    if (rest_ms < 0) {
        rest_ms += 1000;
        --seconds;
    }
    const time_t when = static_cast<time_t>(seconds);
    struct tm parts {};
    if (::gmtime_r(&when, &parts) == nullptr) return "?";
    char text[64];
    const int length = std::snprintf(text, sizeof text, "%04d-%02d-%02dT%02d:%02d:%02d.%03dZ",
                                     parts.tm_year + 1900, parts.tm_mon + 1, parts.tm_mday, parts.tm_hour,
                                     parts.tm_min, parts.tm_sec, static_cast<int>(rest_ms));
    return std::string(text, static_cast<size_t>(length));
}

Log::Log(std::string path, const Clock& clock, const LogLimits& limits)
    : path_(std::move(path)), clock_(clock), limits_(limits) {}

Log::~Log() {
    if (handle_ >= 0) ::close(handle_);
}

Result<std::unique_ptr<Log>> Log::open(const std::string& folder, const Clock& clock,
                                       const LogLimits& limits) {
    const Status made = make_folder(folder);
    if (!made) return made.failure();
    std::unique_ptr<Log> log(new Log(folder + "/fettle.log", clock, limits));
    const Status opened = log->open_file();
    if (!opened) return opened.failure();
    return log;
}

Status Log::open_file() {
    handle_ = ::open(path_.c_str(), O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC | O_NOFOLLOW, 0600);
    if (handle_ < 0) return file_failure(-errno, path_);
    struct stat info {};
    // An older file may have been made with other permissions.
    if (::fchmod(handle_, 0600) < 0 || ::fstat(handle_, &info) < 0) {
        const int error = -errno;
        ::close(handle_);
        handle_ = -1;
        return file_failure(error, path_);
    }
    bytes_ = static_cast<size_t>(info.st_size);
    return Done{};
}

void Log::rotate() {
    if (handle_ >= 0) ::close(handle_);
    handle_ = -1;
    for (int n = limits_.old_files; n >= 1; --n) {
        const std::string from = n == 1 ? path_ : path_ + "." + std::to_string(n - 1);
        ::rename(from.c_str(), (path_ + "." + std::to_string(n)).c_str());  // one that is missing is no error
    }
    if (limits_.old_files < 1) ::unlink(path_.c_str());
    bytes_ = 0;
}

void Log::line(std::string_view sentence) {
    const std::string text =
        calendar_text(clock_.calendar_ms()) + " " + one_line(sentence, limits_.line_bytes) + "\n";
    const std::lock_guard<std::mutex> hold(mutex_);
    if (bytes_ > 0 && bytes_ + text.size() > limits_.file_bytes) rotate();
    if (handle_ < 0 && !open_file()) {  // after a rotation, or again after it failed
        ++lost_lines_;
        return;
    }
    const ssize_t put = ::write(handle_, text.data(), text.size());
    if (put > 0) bytes_ += static_cast<size_t>(put);
    if (put != static_cast<ssize_t>(text.size())) ++lost_lines_;
}

uint64_t Log::lost_lines() const {
    const std::lock_guard<std::mutex> hold(mutex_);
    return lost_lines_;
}

}  // namespace fettle
