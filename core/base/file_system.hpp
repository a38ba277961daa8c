#pragma once
// The one seam to the operating system's files: tests put a failing or a modelled disk in its place.

#include <cstddef>
#include <string>

namespace fettle {

/// Each call does one step. Errors: a negative errno value. Thread: any.
class FileSystem {
public:
    virtual ~FileSystem() = default;

    /// Gives a handle for `read`.
    virtual int open(const std::string& path) = 0;
    /// Gives a handle for `write` to a file that did not exist before (-EEXIST otherwise), with these
    /// permission bits less the umask.
    virtual int create(const std::string& path, unsigned mode) = 0;
    /// Bytes read, 0 at the end.
    virtual long read(int handle, char* to, size_t count) = 0;
    /// Bytes written: may be fewer than asked for.
    virtual long write(int handle, const char* from, size_t count) = 0;
    /// Returns when the content is on the disk.
    virtual int sync(int handle) = 0;
    virtual int close(int handle) = 0;
    /// Replaces `to` in one step.
    virtual int rename(const std::string& from, const std::string& to) = 0;
    /// Returns when the names in the folder are on the disk.
    virtual int sync_folder(const std::string& folder) = 0;
    virtual int remove(const std::string& path) = 0;
    /// Permission bits of a regular file; -ENOENT when there is none, -EISDIR for a folder.
    virtual int mode_of(const std::string& path) = 0;
    virtual int set_mode(int handle, unsigned mode) = 0;
    /// Where symbolic links lead; `path` itself when it is none or does not exist.
    virtual std::string resolve(const std::string& path) = 0;
};

/// The operating system's own. Owner: the program, for as long as it runs.
FileSystem& system_files();

}  // namespace fettle
