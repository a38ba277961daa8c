// What Linux lists, through libudev: sysfs and udev's database are read, no node is opened. A device may
// leave at any moment: then any call of libudev gives NULL, and what was asked of it is left out.

#include "core/link/scan.hpp"

#ifndef __linux__

namespace fettle::link {

Result<Sight> scan_kernel() {
    return scan_libraries();
}

}  // namespace fettle::link

#else

#include <libudev.h>
#include <unistd.h>
#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <memory>

#include "core/link/sight_records.hpp"
#include "core/wire/usb_descriptors.hpp"

namespace fettle::link {

namespace {

template <auto unref>
struct Unref {
    template <typename T>
    void operator()(T* held) const {
        unref(held);
    }
};
using Udev = std::unique_ptr<udev, Unref<udev_unref>>;
using Node = std::unique_ptr<udev_device, Unref<udev_device_unref>>;

constexpr std::size_t k_descriptor_most = 4096;  // HID_MAX_DESCRIPTOR_SIZE of Linux

std::string text_of(const char* text) {
    return text == nullptr ? std::string() : std::string(text);
}

std::uint16_t id_of(udev_device* device, const char* name) {
    return static_cast<std::uint16_t>(
        std::strtoul(text_of(udev_device_get_sysattr_value(device, name)).c_str(), nullptr, 16));
}

bool has_raw_channel(udev_device* hidraw) {
    const std::string place = text_of(udev_device_get_syspath(hidraw));
    std::ifstream file(place + "/device/report_descriptor", std::ios::binary);
    std::string bytes(k_descriptor_most, '\0');
    file.read(bytes.data(), static_cast<std::streamsize>(bytes.size()));
    return is_raw_channel(reinterpret_cast<const std::uint8_t*>(bytes.data()),
                          static_cast<std::size_t>(file.gcount()));
}

// Source: USB-IF, defined class codes. The data interface of a serial port (0A) has no node of its own.
constexpr std::uint16_t k_communications_class = 0x02, k_hid_class = 0x03;

bool gets_node(udev_device* interface) {
    const std::uint16_t its_class = id_of(interface, "bInterfaceClass");
    return its_class == k_communications_class || its_class == k_hid_class;
}

/// False: it has other ids, is none on a USB bus, or is leaving.
bool fill(NodeRecord& record, udev_device* node) {
    udev_device* usb = record.kind == NodeKind::device
                           ? node
                           : udev_device_get_parent_with_subsystem_devtype(node, "usb", "usb_device");
    if (usb == nullptr) return false;
    record.place = text_of(udev_device_get_sysname(usb));
    record.group = record.place;
    record.vendor = id_of(usb, "idVendor");
    record.product = id_of(usb, "idProduct");
    if (record.vendor != wire::k_usb_vendor || record.product != wire::k_usb_product) return false;
    record.serial_text = text_of(udev_device_get_sysattr_value(usb, "serial"));
    record.product_text = text_of(udev_device_get_sysattr_value(usb, "product"));
    if (record.kind == NodeKind::device) return !record.place.empty();
    if (record.kind == NodeKind::interface) return !record.place.empty() && gets_node(node);
    record.path = text_of(udev_device_get_devnode(node));
    record.is_accessible = ::access(record.path.c_str(), R_OK | W_OK) == 0;
    if (record.kind == NodeKind::hid) record.is_raw_channel = has_raw_channel(node);
    return !record.place.empty() && !record.path.empty();
}

/// Where a kind of node is listed. libudev's own listing walks much more of sysfs: 6,800 system calls, where
/// these folders are a few dozen.
struct Wanted {
    NodeKind kind;
    const char* folder;
    const char* begins;  ///< names begin with it
};
constexpr Wanted k_wanted[] = {
    {NodeKind::device, "/sys/bus/usb/devices", ""},
    {NodeKind::interface, "/sys/bus/usb/devices", ""},
    {NodeKind::hid, "/sys/class/hidraw", "hidraw"},
    {NodeKind::serial, "/sys/class/tty", "ttyACM"},
};

/// A USB device, not a hub's root ("usb1"); an interface ("1-1:1.0"), of those devices that were listed
/// before.
bool is_listed(const std::string& name, NodeKind kind, const std::vector<NodeRecord>& records) {
    const std::size_t colon = name.find(':');
    if (kind == NodeKind::device) return colon == std::string::npos && !name.starts_with("usb");
    if (kind != NodeKind::interface) return true;
    return colon != std::string::npos &&
           std::any_of(records.begin(), records.end(),
                       [&](const NodeRecord& one) { return name.compare(0, colon, one.place) == 0; });
}

/// A folder that is not there lists nothing: the driver was never loaded. Errors: io.
Status list(udev* system, const Wanted& wanted, std::vector<NodeRecord>& records) {
    std::error_code error;
    std::filesystem::directory_iterator at(wanted.folder, error), end;
    if (error == std::errc::no_such_file_or_directory) return Done{};
    for (; !error && at != end; at.increment(error)) {
        const std::string name = at->path().filename().string();
        if (!name.starts_with(wanted.begins)) continue;
        if (!is_listed(name, wanted.kind, records)) continue;
        const Node node(udev_device_new_from_syspath(system, at->path().c_str()));
        NodeRecord record;
        record.kind = wanted.kind;
        if (node && fill(record, node.get())) records.push_back(std::move(record));
    }
    if (error) return fail(Errc::io, wanted.folder, error.message());
    return Done{};
}

}  // namespace

Result<Sight> scan_kernel() {
    const Udev system(udev_new());
    if (!system) return fail(Errc::io, "libudev", "it does not start");
    std::vector<NodeRecord> records;
    for (const Wanted& wanted : k_wanted)
        if (auto listed = list(system.get(), wanted, records); !listed) return listed.failure();
    return sight_of(records);
}

}  // namespace fettle::link

#endif
