#include "tests/base/disk.hpp"

#include <errno.h>

#include <algorithm>

namespace fettle::test {

bool FailingDisk::fails() {
    const int now = step_++;
    return killed_ ? now >= fail_at_ : now == fail_at_;
}

int FailingDisk::open(const std::string& path) {
    return fails() ? error_ : under_.open(path);
}
int FailingDisk::create(const std::string& path, unsigned mode) {
    return fails() ? error_ : under_.create(path, mode);
}
long FailingDisk::read(int handle, char* to, size_t count) {
    return fails() ? error_ : under_.read(handle, to, count);
}
long FailingDisk::write(int handle, const char* from, size_t count) {
    return fails() ? error_ : under_.write(handle, from, count);
}
int FailingDisk::sync(int handle) {
    return fails() ? error_ : under_.sync(handle);
}
int FailingDisk::close(int handle) {
    const bool failed = fails();
    // The handle itself must go, or the test program would run out of them.
    const int result = under_.close(handle);
    return failed ? error_ : result;
}
int FailingDisk::rename(const std::string& from, const std::string& to) {
    return fails() ? error_ : under_.rename(from, to);
}
int FailingDisk::sync_folder(const std::string& folder) {
    return fails() ? error_ : under_.sync_folder(folder);
}
int FailingDisk::remove(const std::string& path) {
    return fails() ? error_ : under_.remove(path);
}
int FailingDisk::mode_of(const std::string& path) {
    return fails() ? error_ : under_.mode_of(path);
}
int FailingDisk::set_mode(int handle, unsigned mode) {
    return fails() ? error_ : under_.set_mode(handle, mode);
}

int ModelDisk::open(const std::string& path) {
    if (!names_.contains(path)) return -ENOENT;
    handles_.push_back({names_.at(path), 0});
    return static_cast<int>(handles_.size()) - 1;
}

int ModelDisk::create(const std::string& path, unsigned mode) {
    if (names_.contains(path)) return -EEXIST;
    names_[path] = std::make_shared<Node>(Node{"", "", mode});
    names_changed();
    return open(path);
}

long ModelDisk::read(int handle, char* to, size_t count) {
    Handle& from = handles_.at(static_cast<size_t>(handle));
    const size_t got = std::min(count, from.node->cached.size() - from.at);
    std::copy_n(from.node->cached.data() + from.at, got, to);
    from.at += got;
    return static_cast<long>(got);
}

long ModelDisk::write(int handle, const char* from, size_t count) {
    const size_t put = std::min(count, write_limit_);
    handles_.at(static_cast<size_t>(handle)).node->cached.append(from, put);
    return static_cast<long>(put);
}

int ModelDisk::sync(int handle) {
    Node& node = *handles_.at(static_cast<size_t>(handle)).node;
    node.durable = node.cached;
    return 0;
}

int ModelDisk::close(int handle) {
    handles_.at(static_cast<size_t>(handle)).node.reset();
    return 0;
}

int ModelDisk::rename(const std::string& from, const std::string& to) {
    const auto found = names_.find(from);
    if (found == names_.end()) return -ENOENT;
    names_[to] = found->second;
    names_.erase(from);
    names_changed();
    return 0;
}

int ModelDisk::sync_folder(const std::string&) {
    name_states_ = {names_};
    return 0;
}

int ModelDisk::remove(const std::string& path) {
    if (names_.erase(path) == 0) return -ENOENT;
    names_changed();
    return 0;
}

int ModelDisk::mode_of(const std::string& path) {
    return names_.contains(path) ? static_cast<int>(names_.at(path)->mode) : -ENOENT;
}

int ModelDisk::set_mode(int handle, unsigned mode) {
    handles_.at(static_cast<size_t>(handle)).node->mode = mode;
    return 0;
}

std::vector<ModelDisk::Content> ModelDisk::after_power_cut() const {
    std::vector<Content> states;
    for (const Names& names : name_states_) {
        Content durable;
        Content cached;
        Content half;
        for (const auto& [name, node] : names) {
            durable[name] = node->durable;
            cached[name] = node->cached;
            // What was synced stays; of what was only cached any part may be there: half stands for those.
            const bool is_synced = node->durable == node->cached;
            half[name] = is_synced ? node->durable : node->cached.substr(0, node->cached.size() / 2);
        }
        states.push_back(durable);
        states.push_back(cached);
        states.push_back(half);
    }
    return states;
}

}  // namespace fettle::test
