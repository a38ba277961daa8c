#pragma once
// What the kernel made of a device at one socket: its nodes, and waiting for them to come and to go by the
// kernel's own news. Source: Linux documentation, sysfs-bus-usb; netlink(7), NETLINK_KOBJECT_UEVENT.

#include <functional>
#include <string>
#include <vector>

namespace fettle::rig {

/// Empty: not there.
struct Nodes {
    std::string keyboard_event, pointer_event;  ///< "/dev/input/event0"; pointer: the mouse, not the keys
    std::string consumer_event;                 ///< the other one of the pointer interface
    std::string keyboard_raw, pointer_raw;      ///< hidraw nodes
    std::string raw;                            ///< hidraw node of the raw interface
    std::string serial;                         ///< "/dev/ttyACM0"
    bool are_all_there() const;
    bool is_none_there() const;
};

/// place: as the kernel names the socket, "1-1".
Nodes nodes_at(const std::string& place);
/// Of socket `port` (0 to 7) of the first vhci controller. "": there is none, the module is not loaded.
std::string place_of_port(int port);
/// A line of a file under /sys without its end; "": none.
std::string sysfs_line(const std::string& path);

/// The kernel's news from its making on. Thread: one.
class News {
public:
    News();
    ~News();
    News(const News&) = delete;
    News& operator=(const News&) = delete;
    /// Waits until `is_so`, asked at each change of a device that has a node. False: not within `limit_ms`.
    bool wait_until(const std::function<bool()>& is_so, int limit_ms = 20000) const;

private:
    int socket_;
};

}  // namespace fettle::rig
