#include "core/base/files.hpp"

#include <errno.h>
#include <unistd.h>

#include <array>
#include <filesystem>
#include <system_error>

namespace fettle {

namespace {

Errc code_of(int error) {
    switch (error) {
        case ENOENT:
        case ENOTDIR: return Errc::not_found;
        case EACCES:
        case EPERM:
        case EROFS: return Errc::denied;
        case ENOSPC:
        case EDQUOT: return Errc::disk_full;
        case EFBIG: return Errc::too_large;
        default: return Errc::io;
    }
}

/// Closes the handle and, unless it was renamed away, removes the temporary file.
class Temporary {
public:
    Temporary(FileSystem& files, std::string path, int handle)
        : files_(files), path_(std::move(path)), handle_(handle) {}
    ~Temporary() {
        if (handle_ >= 0) files_.close(handle_);
        if (!renamed_) files_.remove(path_);
    }
    Temporary(const Temporary&) = delete;
    Temporary& operator=(const Temporary&) = delete;

    int write_all(std::string_view content) {
        while (!content.empty()) {
            const long put = files_.write(handle_, content.data(), content.size());
            if (put < 0) return static_cast<int>(put);
            if (put == 0) return -ENOSPC;  // no progress: would never end
            content.remove_prefix(static_cast<size_t>(put));
        }
        return 0;
    }
    int set_mode(unsigned mode) { return files_.set_mode(handle_, mode); }
    int sync() { return files_.sync(handle_); }
    int close() {
        const int handle = handle_;
        handle_ = -1;
        return files_.close(handle);
    }
    int rename_to(const std::string& target) {
        const int result = files_.rename(path_, target);
        renamed_ = result >= 0;
        return result;
    }

private:
    FileSystem& files_;
    std::string path_;
    int handle_;
    bool renamed_ = false;
};

std::string folder_of(const std::string& path) {
    const auto slash = path.rfind('/');
    if (slash == std::string::npos) return ".";
    return slash == 0 ? "/" : path.substr(0, slash);
}

/// A name beside the target that no file has yet: the same folder, so that the rename is one step.
struct Opened {
    std::string path;
    int handle;
};
Opened create_beside(FileSystem& files, const std::string& target, unsigned mode) {
    const auto slash = target.rfind('/');
    const std::string name = slash == std::string::npos ? target : target.substr(slash + 1);
    const std::string start = folder_of(target) + "/." + name + ".new-" + std::to_string(::getpid());
    Opened opened{start, -EEXIST};
    for (int n = 0; n < 100 && opened.handle == -EEXIST; ++n) {
        opened.path = start + "-" + std::to_string(n);
        opened.handle = files.create(opened.path, mode);
    }
    return opened;
}

/// The steps after the temporary file exists; 0 or a negative errno.
int write_and_swap(Temporary& temporary, const std::string& target, std::string_view content, int mode) {
    if (mode >= 0) {
        const int result = temporary.set_mode(static_cast<unsigned>(mode));
        if (result < 0) return result;
    }
    int result = temporary.write_all(content);
    if (result >= 0) result = temporary.sync();
    if (result >= 0) result = temporary.close();
    if (result >= 0) result = temporary.rename_to(target);
    return result;
}

}  // namespace

Unexpected file_failure(int negative_errno, const std::string& where) {
    return fail(code_of(-negative_errno), where, std::generic_category().message(-negative_errno));
}

Result<std::string> read_file(const std::string& path, size_t limit, FileSystem& files) {
    const int handle = files.open(path);
    if (handle < 0) return file_failure(handle, path);
    std::string content;
    std::array<char, 65536> block{};
    long got = 0;
    while ((got = files.read(handle, block.data(), block.size())) > 0) {
        content.append(block.data(), static_cast<size_t>(got));
        if (content.size() > limit) {
            files.close(handle);
            return fail(Errc::too_large, path, "more than " + std::to_string(limit) + " bytes");
        }
    }
    files.close(handle);
    if (got < 0) return file_failure(static_cast<int>(got), path);
    return content;
}

Status save_file(const std::string& path, std::string_view content, Privacy privacy, FileSystem& files) {
    const std::string target = files.resolve(path);
    int mode = files.mode_of(target);
    if (mode < 0 && mode != -ENOENT) return file_failure(mode, path);
    if (mode >= 0 && (mode & 0222) == 0) return fail(Errc::denied, path, "the file is marked read-only");
    if (privacy == Privacy::only_me) mode = 0600;

    const Opened opened = create_beside(files, target, privacy == Privacy::only_me ? 0600 : 0666);
    if (opened.handle < 0) return file_failure(opened.handle, path);
    int result = 0;
    {
        Temporary temporary(files, opened.path, opened.handle);
        result = write_and_swap(temporary, target, content, mode);
    }
    if (result >= 0) result = files.sync_folder(folder_of(target));
    if (result < 0) return file_failure(result, path);
    return Done{};
}

Status make_folder(const std::string& path) {
    std::string so_far;
    for (const auto& part : std::filesystem::path(path)) {
        so_far = so_far.empty() ? part.string() : (std::filesystem::path(so_far) / part).string();
        std::error_code error;
        if (std::filesystem::is_directory(so_far, error)) continue;
        if (!std::filesystem::create_directory(so_far, error)) {
            std::error_code unknown;
            if (std::filesystem::is_directory(so_far, unknown)) continue;  // somebody else was faster
            return file_failure(error ? -error.value() : -ENOTDIR, path);
        }
        std::filesystem::permissions(so_far, std::filesystem::perms::owner_all, error);
    }
    return Done{};
}

}  // namespace fettle
