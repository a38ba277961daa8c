#pragma once
// A folder of its own for one test, removed with it.

#include <stdlib.h>

#include <filesystem>
#include <string>

namespace fettle::test {

class Folder {
public:
    Folder() {
        std::string name = (std::filesystem::temp_directory_path() / "fettle-test-XXXXXX").string();
        if (::mkdtemp(name.data()) == nullptr) std::abort();
        path_ = name;
    }
    ~Folder() {
        std::error_code error;
        std::filesystem::remove_all(path_, error);
    }
    Folder(const Folder&) = delete;
    Folder& operator=(const Folder&) = delete;

    [[nodiscard]] std::string path() const { return path_; }
    [[nodiscard]] std::string operator/(const std::string& name) const { return path_ + "/" + name; }

private:
    std::string path_;
};

/// Permission bits of a file.
inline unsigned mode_of(const std::string& path) {
    return static_cast<unsigned>(std::filesystem::status(path).permissions());
}

}  // namespace fettle::test
