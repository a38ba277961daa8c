#pragma once
// The one thread that enumerates and opens devices. Everybody else asks it what it knows.

#include <functional>
#include <memory>

#include "core/link/device_watch.hpp"
#include "core/link/opening.hpp"
#include "core/link/scan.hpp"

namespace fettle::link {

class Discovery {
public:
    struct Wish {
        std::unique_ptr<DeviceWatch> watch = nullptr;  ///< nullptr: watch_devices()
        std::function<Result<Sight>()> scan = {};      ///< {}: scan_kernel() where there is one
        std::string claims = {};                       ///< folder of the locks, as for open_device()
        /// Called from its thread when the sight differs, and when the first look is over; must only post
        /// an event.
        std::function<void()> on_change = {};
        /// {}: open_device() with `claims`. Called from its thread.
        std::function<Result<std::unique_ptr<Link>>(const Attached&)> open = {};
    };
    /// Starts the thread, which looks at once. clock: outlives it.
    Discovery(Wish wish, const Clock& clock);
    /// Stops and joins; an opening that does not return is waited for.
    ~Discovery();
    Discovery(const Discovery&) = delete;
    Discovery& operator=(const Discovery&) = delete;

    /// What it saw last; never waits for the system. Thread: any. An entry is inaccessible until udev is done
    /// with it: it becomes accessible with udev's news, not by being tried again. A stranger that was plugged
    /// in is told of when it is still one a second later: ours is one, until the kernel knows its channels;
    /// and a device when all its channels are there, or after that second.
    Sight sight() const;
    /// True once the first look is over.
    bool has_looked() const;
    /// Opens on the discovery thread and waits for it. Thread: any but its own. An inaccessible one is
    /// refused at once (no_access), one that is not in sight is not_found: another serial number at the same
    /// path is another device (an empty one means any). attached.path may name the fallback: then that alone
    /// is opened. Errors: those of open_device(); cancelled (it was destroyed before the opening began).
    Result<std::unique_ptr<Link>> open(const Attached& attached);

private:
    struct Inside;
    std::shared_ptr<Inside> inside_;  ///< also of those who wait in open()
};

}  // namespace fettle::link
