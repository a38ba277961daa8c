#include "core/base/file_system.hpp"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

#include <memory>

namespace fettle {

namespace {

int errno_or(int result) {
    return result < 0 ? -errno : result;
}

/// Repeats a call that a signal interrupted.
template <typename Call>
auto uninterrupted(Call call) {
    auto result = call();
    while (result < 0 && errno == EINTR) result = call();
    return result;
}

class SystemFiles final : public FileSystem {
public:
    int open(const std::string& path) override {
        return errno_or(uninterrupted([&] { return ::open(path.c_str(), O_RDONLY | O_CLOEXEC); }));
    }
    int create(const std::string& path, unsigned mode) override {
        const int flags = O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC;
        return errno_or(
            uninterrupted([&] { return ::open(path.c_str(), flags, static_cast<mode_t>(mode)); }));
    }
    long read(int handle, char* to, size_t count) override {
        const auto got = uninterrupted([&] { return ::read(handle, to, count); });
        return got < 0 ? -errno : got;
    }
    long write(int handle, const char* from, size_t count) override {
        const auto put = uninterrupted([&] { return ::write(handle, from, count); });
        return put < 0 ? -errno : put;
    }
    int sync(int handle) override {
        return errno_or(uninterrupted([&] { return ::fsync(handle); }));
    }
    // Not repeated after a signal: on Linux the handle is gone even then (close(2), "Dealing with error
    // returns").
    int close(int handle) override { return errno_or(::close(handle)); }
    int rename(const std::string& from, const std::string& to) override {
        return errno_or(::rename(from.c_str(), to.c_str()));
    }
    int sync_folder(const std::string& folder) override {
        const int handle = errno_or(::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
        if (handle < 0) return handle;
        const int result = sync(handle);
        ::close(handle);
        // Some file systems know no such call for folders and need none.
        return result == -EINVAL ? 0 : result;
    }
    int remove(const std::string& path) override { return errno_or(::unlink(path.c_str())); }
    int mode_of(const std::string& path) override {
        struct stat info {};
        if (::stat(path.c_str(), &info) < 0) return -errno;
        if (S_ISDIR(info.st_mode)) return -EISDIR;
        return static_cast<int>(info.st_mode & 07777u);
    }
    int set_mode(int handle, unsigned mode) override {
        return errno_or(::fchmod(handle, static_cast<mode_t>(mode)));
    }
    std::string resolve(const std::string& path) override {
        const std::unique_ptr<char, decltype(&::free)> real(::realpath(path.c_str(), nullptr), &::free);
        return real ? std::string(real.get()) : path;
    }
};

}  // namespace

FileSystem& system_files() {
    static SystemFiles files;
    return files;
}

}  // namespace fettle
