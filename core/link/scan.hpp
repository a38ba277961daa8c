#pragma once
// What is attached now, without opening anything and without sending a byte: looked up by USB ids and the
// vendor usage page. Other devices are not touched.

#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/link/link.hpp"

namespace fettle::link {

/// A device with our USB ids that is none of ours: it has no raw channel, or runs a boot loader.
struct Stranger {
    std::string place;
    std::string product;  ///< a stranger's bytes, made printable
    bool operator==(const Stranger&) const = default;
};

struct Sight {
    std::vector<Attached> devices;  ///< in the order of `place`
    std::vector<Stranger> strangers;
    /// Places of devices that have HID or serial interfaces without a node: the kernel, or udev, which loads
    /// its drivers, is still at work on them. Discovery waits for that and says nothing of it.
    std::vector<std::string> unfinished = {};
    bool operator==(const Sight&) const = default;
};

/// Linux: from the kernel's own lists through libudev. Safe while a device is leaving. Errors: io.
Result<Sight> scan_kernel();

/// Everywhere: hidapi's and libserialport's own lists. Not while a device is leaving: hidapi 0.13.1 can crash
/// there on Linux. Errors: io.
Result<Sight> scan_libraries();

/// True: a report descriptor whose first collection is the raw channel's (core/wire/descriptors.hpp). Bytes
/// of a stranger: any are allowed.
bool is_raw_channel(const std::uint8_t* descriptor, std::size_t bytes);

/// At most `most` printable characters of a stranger's text; everything else becomes '?'.
std::string printable(std::string_view text, std::size_t most = 64);

}  // namespace fettle::link
