// News of devices from Linux: what the kernel sends, and what udev sends when it is done.

#include "core/link/device_watch.hpp"

#ifndef __linux__

namespace fettle::link {

std::unique_ptr<DeviceWatch> watch_kernel() {
    return nullptr;
}

}  // namespace fettle::link

#else

#include <libudev.h>
#include <poll.h>
#include <sys/eventfd.h>
#include <unistd.h>
#include <algorithm>
#include <array>
#include <cerrno>
#include <chrono>

namespace fettle::link {

namespace {

struct UdevUnref {
    void operator()(udev* held) const { udev_unref(held); }
    void operator()(udev_monitor* held) const { udev_monitor_unref(held); }
    void operator()(udev_device* held) const { udev_device_unref(held); }
};
using Udev = std::unique_ptr<udev, UdevUnref>;
using Monitor = std::unique_ptr<udev_monitor, UdevUnref>;
using Node = std::unique_ptr<udev_device, UdevUnref>;

/// nullptr: this system, or this container, sends no news.
Monitor open_monitor(udev* system, const char* sender) {
    Monitor monitor(udev_monitor_new_from_netlink(system, sender));
    if (!monitor) return nullptr;
    const bool is_filtered =
        udev_monitor_filter_add_match_subsystem_devtype(monitor.get(), "hidraw", nullptr) >= 0 &&
        udev_monitor_filter_add_match_subsystem_devtype(monitor.get(), "tty", nullptr) >= 0 &&
        udev_monitor_filter_add_match_subsystem_devtype(monitor.get(), "usb", "usb_device") >= 0;
    if (!is_filtered || udev_monitor_enable_receiving(monitor.get()) < 0) return nullptr;
    return monitor;
}

class Wakeup {
public:
    Wakeup() : fd_(::eventfd(0, EFD_CLOEXEC | EFD_NONBLOCK)) {}
    Wakeup(const Wakeup&) = delete;
    Wakeup& operator=(const Wakeup&) = delete;
    ~Wakeup() {
        if (fd_ >= 0) ::close(fd_);
    }
    int fd() const { return fd_; }
    /// A counter that is full already wakes as well.
    void set() const { (void)(::eventfd_write(fd_, 1)); }
    void clear() const {
        eventfd_t count = 0;
        (void)(::eventfd_read(fd_, &count));
    }

private:
    int fd_;
};

class KernelWatch : public DeviceWatch {
public:
    explicit KernelWatch(Udev system)
        : system_(std::move(system)),
          kernel_(open_monitor(system_.get(), "kernel")),
          settled_(open_monitor(system_.get(), "udev")) {}
    bool is_open() const { return kernel_ && settled_ && wakeup_.fd() >= 0; }

    Change wait(std::uint32_t ms) override {
        using Steady = std::chrono::steady_clock;
        const auto until = Steady::now() + std::chrono::milliseconds(ms);
        for (;;) {
            const auto left =
                std::chrono::duration_cast<std::chrono::milliseconds>(until - Steady::now()).count();
            std::array<pollfd, 3> fds{{{udev_monitor_get_fd(kernel_.get()), POLLIN, 0},
                                       {udev_monitor_get_fd(settled_.get()), POLLIN, 0},
                                       {wakeup_.fd(), POLLIN, 0}}};
            const int ready =
                ::poll(fds.data(), fds.size(), static_cast<int>(std::clamp<std::int64_t>(left, 0, 60000)));
            if (ready < 0 && errno != EINTR) return Change::none;
            // Both are emptied: the kernel's own is no news any more when udev is done.
            const bool has_kernel = ready > 0 && fds[0].revents != 0 && empty(kernel_.get());
            const bool has_settled = ready > 0 && fds[1].revents != 0 && empty(settled_.get());
            if (has_settled) return Change::settled;
            if (has_kernel) return Change::kernel;
            if (ready > 0 && fds[2].revents != 0) {
                wakeup_.clear();
                return Change::none;
            }
            if (Steady::now() >= until) return Change::none;
        }
    }

    void wake() override { wakeup_.set(); }

private:
    /// True: there was news, or some was lost because too much came, which is news as well.
    static bool empty(udev_monitor* monitor) {
        for (bool any = false;; any = true) {
            errno = 0;
            if (Node(udev_monitor_receive_device(monitor))) continue;
            return any || (errno != 0 && errno != EAGAIN && errno != EWOULDBLOCK);
        }
    }

    Udev system_;
    Monitor kernel_, settled_;
    Wakeup wakeup_;
};

}  // namespace

std::unique_ptr<DeviceWatch> watch_kernel() {
    Udev system(udev_new());
    if (!system) return nullptr;
    auto watch = std::make_unique<KernelWatch>(std::move(system));
    if (!watch->is_open()) return nullptr;
    return watch;
}

}  // namespace fettle::link

#endif
