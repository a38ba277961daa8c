#pragma once
// An independent reader of report descriptors and reports: tshark's HID dissector, fed with a capture of one
// made-up USB device that is written here.

#include <string>
#include <vector>

#include "core/engine/report.hpp"

namespace fettle::wire {

/// One field that the dissector found in a report, in its order.
struct Field {
    std::string name;   ///< e.g. usbhid.data.axis.x
    std::string words;  ///< e.g. "X Axis: 300", "Usage: Volume Increment (0x000c, 0x00e9)"
    std::string bytes;  ///< hex, long ones cut short
    size_t size;        ///< bytes in the report
};

using Bytes = std::vector<uint8_t>;

/// Is tshark there at all?
bool has_reader();

/// What it makes of each report of an interface with this descriptor. protocol: 1 keyboard, 2 mouse, 0 none.
std::vector<std::vector<Field>> read_reports(const Bytes& descriptor, int protocol,
                                             const std::vector<Bytes>& reports);

/// The dissector's text for the whole capture (items of the descriptor).
std::string read_descriptor(const Bytes& descriptor, int protocol);

}  // namespace fettle::wire
