#include "tests/link/discovery_rig.hpp"

#include <algorithm>
#include <thread>

#include "tests/link/scripted_link.hpp"

namespace fettle::test {

using link::Attached;
using link::Change;

class FakeWatch : public link::DeviceWatch {
public:
    explicit FakeWatch(FakeSystem& system) : system_(system) {}
    Change wait(std::uint32_t ms) override { return system_.wait(ms); }
    void wake() override { system_.wake(); }

private:
    FakeSystem& system_;
};

void FakeSystem::set(link::Sight sight) {
    const std::lock_guard lock(mutex_);
    sight_ = std::move(sight);
}

void FakeSystem::fail_next_scan() {
    const std::lock_guard lock(mutex_);
    is_failing_ = true;
}

void FakeSystem::tell(std::vector<Change> changes) {
    {
        const std::lock_guard lock(mutex_);
        news_.insert(news_.end(), changes.begin(), changes.end());
        is_resting_ = false;
    }
    changed_.notify_all();
}

void FakeSystem::tell_and_rest(std::vector<Change> changes) {
    changes.push_back(Change::none);
    tell(std::move(changes));
    rest();
}

void FakeSystem::rest() {
    std::unique_lock lock(mutex_);
    changed_.wait(lock, [this] { return is_resting_ && news_.empty() && !is_woken_; });
}

void FakeSystem::close_gate() {
    const std::lock_guard lock(mutex_);
    is_gate_closed_ = true;
}

void FakeSystem::open_gate() {
    {
        const std::lock_guard lock(mutex_);
        is_gate_closed_ = false;
    }
    changed_.notify_all();
}

void FakeSystem::wait_for_opening() {
    std::unique_lock lock(mutex_);
    changed_.wait(lock, [this] { return opening_ > 0; });
}

void FakeSystem::wait_for_wakes(int count) {
    std::unique_lock lock(mutex_);
    changed_.wait(lock, [&] { return wakes_ >= count; });
}

void FakeSystem::refuse_with(std::optional<Errc> code) {
    const std::lock_guard lock(mutex_);
    refusal_ = code;
}

int FakeSystem::scans() const {
    const std::lock_guard lock(mutex_);
    return scans_;
}

int FakeSystem::changes() const {
    const std::lock_guard lock(mutex_);
    return changes_;
}

std::vector<Attached> FakeSystem::opened() const {
    const std::lock_guard lock(mutex_);
    return opened_;
}

int FakeSystem::most_at_once() const {
    const std::lock_guard lock(mutex_);
    return most_opening_;
}

bool FakeSystem::is_one_thread() const {
    const std::lock_guard lock(mutex_);
    return std::all_of(threads_.begin(), threads_.end(), [&](std::size_t id) { return id == threads_[0]; });
}

std::uint32_t FakeSystem::last_wait_ms() const {
    const std::lock_guard lock(mutex_);
    return last_wait_ms_;
}

link::Discovery::Wish FakeSystem::wish() {
    link::Discovery::Wish wish;
    wish.watch = std::make_unique<FakeWatch>(*this);
    wish.scan = [this] { return scan(); };
    wish.open = [this](const Attached& attached) { return open(attached); };
    wish.on_change = [this] {
        const std::lock_guard lock(mutex_);
        ++changes_;
    };
    return wish;
}

Result<link::Sight> FakeSystem::scan() {
    const std::lock_guard lock(mutex_);
    ++scans_;
    if (std::exchange(is_failing_, false)) return fail(Errc::io, "system");
    return sight_;
}

Result<std::unique_ptr<link::Link>> FakeSystem::open(const Attached& attached) {
    std::unique_lock lock(mutex_);
    opened_.push_back(attached);
    threads_.push_back(std::hash<std::thread::id>{}(std::this_thread::get_id()));
    most_opening_ = std::max(most_opening_, ++opening_);
    changed_.notify_all();
    changed_.wait(lock, [this] { return !is_gate_closed_; });
    --opening_;
    if (refusal_) return fail(*refusal_, attached.path);
    return std::unique_ptr<link::Link>(std::make_unique<ScriptedLink>(ScriptedLink::Device{}));
}

Change FakeSystem::wait(std::uint32_t ms) {
    std::unique_lock lock(mutex_);
    last_wait_ms_ = ms;
    if (news_.empty() && !is_woken_) {
        is_resting_ = true;
        changed_.notify_all();
        changed_.wait(lock, [this] { return !news_.empty() || is_woken_; });
    }
    is_resting_ = false;
    if (std::exchange(is_woken_, false)) return Change::none;
    const Change change = news_.front();
    news_.pop_front();
    return change;
}

void FakeSystem::wake() {
    {
        const std::lock_guard lock(mutex_);
        is_woken_ = true;
        ++wakes_;
    }
    changed_.notify_all();
}

Attached entry(int number, const char* fallback) {
    const std::string digits = std::to_string(number);
    return {link::ChannelKind::hid,
            "/dev/hidraw" + digits,
            "FT" + digits,
            "Fettle access device",
            "1-" + digits,
            fallback,
            true};
}

link::Sight sight_with(std::vector<Attached> devices, std::vector<link::Stranger> strangers) {
    link::Sight sight;
    sight.devices = std::move(devices);
    sight.strangers = std::move(strangers);
    return sight;
}

}  // namespace fettle::test
