#pragma once
// Two disks for the file tests: one that fails at a chosen step, one that models what a power cut leaves.

#include <map>
#include <memory>
#include <set>
#include <string>
#include <vector>

#include "core/base/file_system.hpp"

namespace fettle::test {

/// Hands each step on to a real disk until step `fail_at`, which gives `error`. Steps count from 0.
/// `killed`: from that step on nothing reaches the disk any more, as after a kill: not even the cleaning up.
class FailingDisk final : public FileSystem {
public:
    FailingDisk(FileSystem& under, int fail_at, int error, bool killed)
        : under_(under), fail_at_(fail_at), error_(error), killed_(killed) {}

    int open(const std::string& path) override;
    int create(const std::string& path, unsigned mode) override;
    long read(int handle, char* to, size_t count) override;
    long write(int handle, const char* from, size_t count) override;
    int sync(int handle) override;
    int close(int handle) override;
    int rename(const std::string& from, const std::string& to) override;
    int sync_folder(const std::string& folder) override;
    int remove(const std::string& path) override;
    int mode_of(const std::string& path) override;
    int set_mode(int handle, unsigned mode) override;
    std::string resolve(const std::string& path) override { return under_.resolve(path); }

    [[nodiscard]] int steps() const { return step_; }

private:
    [[nodiscard]] bool fails();

    FileSystem& under_;
    int fail_at_;
    int error_;
    bool killed_;
    int step_ = 0;
};

/// One folder in memory, with what is on the platter kept apart from what is only cached. `write_limit`: most
/// bytes that one write takes.
class ModelDisk final : public FileSystem {
public:
    using Content = std::map<std::string, std::string>;

    explicit ModelDisk(size_t write_limit) : write_limit_(write_limit) {}

    int open(const std::string& path) override;
    int create(const std::string& path, unsigned mode) override;
    long read(int handle, char* to, size_t count) override;
    long write(int handle, const char* from, size_t count) override;
    int sync(int handle) override;
    int close(int handle) override;
    int rename(const std::string& from, const std::string& to) override;
    int sync_folder(const std::string& folder) override;
    int remove(const std::string& path) override;
    int mode_of(const std::string& path) override;
    int set_mode(int handle, unsigned mode) override;
    std::string resolve(const std::string& path) override { return path; }

    /// Every content of the folder that a power cut now may leave: names as synced last or as of any later
    /// change, bytes as synced last, as cached, or none at all.
    [[nodiscard]] std::vector<Content> after_power_cut() const;

private:
    struct Node {
        std::string cached;
        std::string durable;
        unsigned mode = 0;
    };
    using Names = std::map<std::string, std::shared_ptr<Node>>;
    struct Handle {
        std::shared_ptr<Node> node;
        size_t at = 0;
    };
    void names_changed() { name_states_.push_back(names_); }

    size_t write_limit_;
    Names names_;
    std::vector<Names> name_states_{Names{}};  ///< [0] is on the platter
    std::vector<Handle> handles_;
};

}  // namespace fettle::test
