#include "tests/rig_kernel/cable.hpp"

#include <fcntl.h>
#include <poll.h>
#include <sched.h>
#include <sys/eventfd.h>
#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <fstream>
#include <sstream>

namespace fettle::rig {

namespace {

constexpr std::int64_t k_tick_us = 1000;
/// Time that this thread was not given and that the device does not make up for.
constexpr std::int64_t k_catch_up_us = 20000;
/// How long transfers fail before the hub sees that nobody is there. A choice; a real hub's takes as long.
constexpr std::int64_t k_failing_us = 30000;
/// The driver needs some time to free a socket.
constexpr std::int64_t k_plug_limit_us = 10000000;
constexpr int k_requests_at_once = 64;
constexpr int k_quick_at_once = 50;

constexpr int k_state_free = 4;
const char* const k_status = "/sys/devices/platform/vhci_hcd.0/status";
const char* const k_attach = "/sys/devices/platform/vhci_hcd.0/attach";

bool write_line(const char* path, const std::string& line) {
    const int file = open(path, O_WRONLY | O_CLOEXEC);
    if (file < 0) return false;
    const bool is_written = write(file, line.data(), line.size()) == static_cast<ssize_t>(line.size());
    close(file);
    return is_written;
}

}  // namespace

Cable::Cable(const CableOptions& options)
    : place_(place_of_port(options.port)),
      port_(options.port),
      wake_(eventfd(0, EFD_CLOEXEC | EFD_NONBLOCK)) {
    device_ = std::make_unique<sim::SimDevice>(options.device, options.eeprom);
    device_->pull_cable();
    usb_ = std::make_unique<UsbDevice>(*device_, options.device.serial);
    next_tick_us_ = clock_.monotonic_us();
    thread_ = std::thread([this] { run(); });
}

Cable::~Cable() {
    pull();
    {
        const std::lock_guard lock(mutex_);
        is_over_ = true;
    }
    wake();
    thread_.join();
    close(wake_);
}

void Cable::exchange_device(const CableOptions& options) {
    const std::lock_guard lock(mutex_);
    auto device = std::make_unique<sim::SimDevice>(options.device, options.eeprom);
    if (!stream_) device->pull_cable();
    usb_->use(*device, options.device.serial);
    device_ = std::move(device);
}

void Cable::wake() const {
    const std::uint64_t one = 1;
    if (write(wake_, &one, sizeof one) < 0) return;  // it is awake already
}

void Cable::with(const std::function<void(sim::SimDevice&)>& look) {
    const std::lock_guard lock(mutex_);
    look(*device_);
}

void Cable::with_usb(const std::function<void(UsbDevice&)>& look) {
    {
        const std::lock_guard lock(mutex_);
        look(*usb_);
    }
    wake();
}

void Cable::set_instant(bool is_instant) {
    const std::lock_guard lock(mutex_);
    usb_->set_instant(is_instant);
}

void Cable::hold_time(bool holds) {
    const std::lock_guard lock(mutex_);
    holds_time_ = holds;
}

void Cable::decide_by(UsbIpStream::Decider decider) {
    const std::lock_guard lock(mutex_);
    decider_ = std::move(decider);
}

void Cable::bend_by(UsbDevice::Bender bender) {
    const std::lock_guard lock(mutex_);
    usb_->bend_by(std::move(bender));
}

void Cable::replug_after_pull() {
    const std::lock_guard lock(mutex_);
    wants_replug_ = true;
}

bool Cable::is_plugged() {
    const std::lock_guard lock(mutex_);
    return stream_ != nullptr;
}

void Cable::wait_for(const std::function<bool()>& is_so) {
    std::unique_lock lock(mutex_);
    wake();
    changed_.wait(lock, is_so);
}

bool Cable::plug() {
    {
        const std::lock_guard lock(mutex_);
        if (stream_) return true;
        wants_plug_ = true;
        plug_until_us_ = clock_.monotonic_us() + k_plug_limit_us;
    }
    wait_for([this] { return !wants_plug_; });
    return is_plugged();
}

void Cable::pull(Pull how) {
    {
        const std::lock_guard lock(mutex_);
        wants_plug_ = wants_replug_ = false;
        if (stream_) {
            if (how == Pull::clean) stream_->fail_all();
            begin_pull(how == Pull::clean ? k_failing_us : 0);
        }
    }
    wait_for([this] { return !stream_ && !is_leaving_; });
}

bool Cable::plug_and_wait() {
    const News news;
    return plug() && news.wait_until([this] { return nodes().are_all_there(); });
}

bool Cable::pull_and_wait(Pull how) {
    const News news;
    pull(how);
    return news.wait_until([this] {
        return nodes().is_none_there() && access(("/sys/bus/usb/devices/" + place_).c_str(), F_OK) != 0;
    });
}

void Cable::pass_ms(std::uint32_t ms) {
    {
        const std::lock_guard lock(mutex_);
        quick_ticks_ += ms;
    }
    wait_for([this] { return quick_ticks_ == 0; });
}

// --- on the cable's thread

std::int64_t Cable::wait_us(std::int64_t now_us) const {
    if (quick_ticks_ != 0) return is_starved_ ? k_tick_us : 0;
    return std::clamp<std::int64_t>(next_tick_us_ - now_us, 0, k_tick_us);
}

void Cable::run() {
    for (;;) {
        pollfd waits[2] = {{wake_, POLLIN, 0}, {-1, POLLIN, 0}};
        timespec limit{};
        {
            const std::lock_guard lock(mutex_);
            if (is_over_) return;
            if (stream_) waits[1].fd = stream_->socket();
            limit.tv_nsec = static_cast<long>(wait_us(clock_.monotonic_us()) * 1000);
        }
        ppoll(waits, 2, &limit, nullptr);
        std::uint64_t count = 0;
        if (waits[0].revents != 0 && read(wake_, &count, sizeof count) < 0) count = 0;
        const std::lock_guard lock(mutex_);
        turn();
        changed_.notify_all();
    }
}

void Cable::turn() {
    take_requests();
    if (stream_ && stream_->is_failing() && pull_at_us_ == 0) begin_pull(k_failing_us);
    const std::int64_t now_us = clock_.monotonic_us();
    if (pull_at_us_ != 0 && now_us >= pull_at_us_) end_pull();
    if (is_leaving_) is_leaving_ = !is_socket_free();
    if (wants_plug_ && !stream_ && !is_leaving_) attach();
    if (quick_ticks_ != 0)
        tick_quickly();
    else
        tick_in_time(now_us);
}

void Cable::take_requests() {
    for (int i = 0; stream_ && i < k_requests_at_once; ++i) {
        pollfd waits{stream_->socket(), POLLIN, 0};
        if (poll(&waits, 1, 0) <= 0) return;
        if (!stream_->step(decider_)) return end_pull();
        if (!stream_->is_failing()) usb_->serve();
    }
}

void Cable::tick() {
    device_->advance_ms(1);
    usb_->serve();
}

void Cable::tick_in_time(std::int64_t now_us) {
    if (holds_time_) {
        next_tick_us_ = now_us + k_tick_us;
        return;
    }
    if (now_us > next_tick_us_ + k_catch_up_us) {
        late_us_ += static_cast<std::uint64_t>(now_us - k_catch_up_us - next_tick_us_);
        next_tick_us_ = now_us - k_catch_up_us;
    }
    for (; next_tick_us_ <= now_us; next_tick_us_ += k_tick_us) {
        tick();
        take_requests();
    }
}

/// A tick as soon as the computer has come for what the last one gave, or would have had the time to.
void Cable::tick_quickly() {
    is_starved_ = false;
    for (int i = 0; i < k_quick_at_once && quick_ticks_ != 0 && !is_starved_; ++i) {
        tick();
        --quick_ticks_;
        is_starved_ = usb_->take_starved();
        sched_yield();
        take_requests();
    }
    next_tick_us_ = clock_.monotonic_us() + k_tick_us;
}

void Cable::attach() {
    int ends[2];
    if (socketpair(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0, ends) != 0) return;
    constexpr int k_full_speed = 2;  // enum usb_device_speed of the kernel
    const std::string line = std::to_string(port_) + " " + std::to_string(ends[1]) + " " +
                             std::to_string(0x10000 + port_ + 1) + " " + std::to_string(k_full_speed);
    const bool is_taken = write_line(k_attach, line);
    close(ends[1]);
    if (is_taken) {
        device_->plug_cable();
        stream_ = std::make_unique<UsbIpStream>(ends[0], *usb_);
        wants_plug_ = false;
        return;
    }
    close(ends[0]);
    // The socket is not free yet: tried again at the next turn.
    if (clock_.monotonic_us() > plug_until_us_) wants_plug_ = false;
}

/// Source: Linux, drivers/usb/usbip: a line a socket, "hs  0000 004 ..."; 4 is VDEV_ST_NULL.
bool Cable::is_socket_free() const {
    std::ifstream status(k_status);
    std::string line;
    while (std::getline(status, line)) {
        std::istringstream words(line);
        std::string hub;
        int port = -1, state = 0;
        if (words >> hub >> port >> state && hub == "hs" && port == port_) return state == k_state_free;
    }
    return true;
}

void Cable::begin_pull(std::int64_t delay_us) {
    device_->pull_cable();
    pull_at_us_ = clock_.monotonic_us() + std::max<std::int64_t>(delay_us, 1);
}

void Cable::end_pull() {
    pull_at_us_ = 0;
    if (device_->is_plugged()) device_->pull_cable();
    stream_.reset();
    is_leaving_ = true;
    if (!wants_replug_) return;
    wants_replug_ = false;
    wants_plug_ = true;
    plug_until_us_ = clock_.monotonic_us() + k_plug_limit_us;
}

}  // namespace fettle::rig
