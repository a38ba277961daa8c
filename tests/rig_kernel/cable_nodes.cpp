#include "tests/rig_kernel/cable_nodes.hpp"

#include <linux/netlink.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <chrono>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <string_view>

namespace fettle::rig {

namespace fs = std::filesystem;

namespace {

const std::string k_controller = "/sys/devices/platform/vhci_hcd.0";

/// Names of the folders in `folder` that begin with `start`, whole paths.
std::vector<std::string> inside(const std::string& folder, const std::string& start) {
    std::vector<std::string> found;
    std::error_code none;
    for (fs::directory_iterator at(folder, none), end; !none && at != end; at.increment(none))
        if (at->path().filename().string().rfind(start, 0) == 0) found.push_back(at->path().string());
    return found;
}

std::string node_of(const std::string& sysfs_path, const std::string& folder) {
    const std::string node = folder + fs::path(sysfs_path).filename().string();
    return access(node.c_str(), F_OK) == 0 ? node : "";
}

/// The HID devices of an interface: one.
std::string hid_of(const std::string& place, int interface) {
    const auto found = inside("/sys/bus/usb/devices/" + place + ":1." + std::to_string(interface), "0003:");
    return found.empty() ? "" : found.front();
}

std::string raw_node(const std::string& hid) {
    const auto found = inside(hid + "/hidraw", "hidraw");
    return found.empty() ? "" : node_of(found.front(), "/dev/");
}

/// The event node of an input device; pointer: whether it must have X and Y. (Consumer control has the wheels
/// among its keys.)
std::string event_node(const std::string& hid, bool pointer) {
    for (const std::string& input : inside(hid + "/input", "input")) {
        const unsigned long axes = std::stoul("0" + sysfs_line(input + "/capabilities/rel"), nullptr, 16);
        const bool has = (axes & 3) == 3;
        const auto events = inside(input, "event");
        if (has == pointer && !events.empty()) return node_of(events.front(), "/dev/input/");
    }
    return "";
}

}  // namespace

bool Nodes::are_all_there() const {
    for (const std::string* each :
         {&keyboard_event, &pointer_event, &consumer_event, &keyboard_raw, &pointer_raw, &raw, &serial})
        if (each->empty()) return false;
    return true;
}

bool Nodes::is_none_there() const {
    for (const std::string* each :
         {&keyboard_event, &pointer_event, &consumer_event, &keyboard_raw, &pointer_raw, &raw, &serial})
        if (!each->empty()) return false;
    return true;
}

std::string sysfs_line(const std::string& path) {
    std::ifstream file(path);
    std::string line;
    std::getline(file, line);
    return line;
}

Nodes nodes_at(const std::string& place) {
    Nodes nodes;
    const std::string keyboard = hid_of(place, 0), pointer = hid_of(place, 1), raw = hid_of(place, 2);
    nodes.keyboard_event = event_node(keyboard, false);
    nodes.keyboard_raw = raw_node(keyboard);
    nodes.pointer_event = event_node(pointer, true);
    nodes.consumer_event = event_node(pointer, false);
    nodes.pointer_raw = raw_node(pointer);
    nodes.raw = raw_node(raw);
    const auto ports = inside("/sys/bus/usb/devices/" + place + ":1.3/tty", "tty");
    if (!ports.empty()) nodes.serial = node_of(ports.front(), "/dev/");
    return nodes;
}

std::string place_of_port(int port) {
    for (const std::string& hub : inside(k_controller, "usb"))
        if (sysfs_line(hub + "/speed") == "480")  // the other one is for SuperSpeed
            return sysfs_line(hub + "/busnum") + "-" + std::to_string(port + 1);
    return "";
}

News::News() : socket_(socket(AF_NETLINK, SOCK_DGRAM | SOCK_CLOEXEC, NETLINK_KOBJECT_UEVENT)) {
    sockaddr_nl address{};
    address.nl_family = AF_NETLINK;
    address.nl_groups = 1;  // the kernel's own
    const int bytes = 1 << 20;
    setsockopt(socket_, SOL_SOCKET, SO_RCVBUF, &bytes, sizeof bytes);
    if (bind(socket_, reinterpret_cast<const sockaddr*>(&address), sizeof address) != 0) {
        close(socket_);
        socket_ = -1;
    }
}

News::~News() {
    if (socket_ >= 0) close(socket_);
}

bool News::wait_until(const std::function<bool()>& is_so, int limit_ms) const {
    using std::chrono::steady_clock;
    const auto end = steady_clock::now() + std::chrono::milliseconds(limit_ms);
    if (is_so()) return true;
    for (;;) {
        const auto left = std::chrono::duration_cast<std::chrono::milliseconds>(end - steady_clock::now());
        pollfd news{socket_, POLLIN, 0};
        if (left.count() <= 0 || poll(&news, 1, static_cast<int>(left.count())) <= 0) return is_so();
        char text[8192];
        const ssize_t got = recv(socket_, text, sizeof text, MSG_DONTWAIT);
        // Of events without a node nothing is to be learned; a lost one (ENOBUFS) may have been any.
        static constexpr std::string_view k_node("\0DEVNAME=", 9);
        const bool has_node = got < 0 || std::string_view(text, static_cast<std::size_t>(got)).find(k_node) !=
                                             std::string_view::npos;
        if (has_node && is_so()) return true;
    }
}

}  // namespace fettle::rig
