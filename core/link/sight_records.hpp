#pragma once
// From nodes, as a system lists them, to devices: the part of looking that needs no system. Pure.

#include <cstdint>
#include <string>
#include <vector>

#include "core/link/scan.hpp"

namespace fettle::link {

enum class NodeKind : std::uint8_t {
    device,     ///< the USB device itself: no node to open
    interface,  ///< of it, one that has a node when the kernel is done with it
    hid,        ///< one HID interface
    serial,     ///< a serial port
};

/// What the system says of one node. All text is a stranger's.
struct NodeRecord {
    NodeKind kind = NodeKind::device;
    std::string group;  ///< the same text for all nodes of one device, another one for another device
    std::string place;  ///< Attached::place
    std::string path;   ///< how to open it; device, interface: ""
    std::uint16_t vendor = 0, product = 0;
    std::string serial_text, product_text;
    bool is_raw_channel = false;  ///< hid
    bool is_accessible = true;
};

/// One entry a device of our ids. With a raw channel: opened by it, its serial port is the fallback. With a
/// serial port alone: ours where its product text begins as ours does. All others: strangers. Records with
/// other ids are left out, whatever they hold.
Sight sight_of(const std::vector<NodeRecord>& records);

/// For a system that does not say which nodes are of one device: nodes with one serial number are, as long as
/// it is not empty and there are not two devices with it. Fills `group`.
void group_by_serial(std::vector<NodeRecord>& records);

}  // namespace fettle::link
