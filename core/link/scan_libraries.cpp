// What hidapi and libserialport list.

#include <hidapi.h>
#include <libserialport.h>
#if !defined(_WIN32)
#include <unistd.h>
#endif
#include <memory>

#include "core/link/sight_records.hpp"
#include "core/wire/usb_descriptors.hpp"

namespace fettle::link {

namespace {

std::string text_of(const char* text) {
    return text == nullptr ? std::string() : std::string(text);
}

std::string text_of(const wchar_t* text) {
    std::string narrow;
    for (; text != nullptr && *text != L'\0'; ++text)
        narrow += *text >= L' ' && *text <= L'~' ? static_cast<char>(*text) : '?';
    return narrow;
}

bool is_accessible(const std::string& path) {
#if defined(_WIN32)
    return true;
#else
    return path.find('/') != 0 || ::access(path.c_str(), R_OK | W_OK) == 0;  // not every path is a file's
#endif
}

/// hidapi lists an interface once for each of its top-level usages.
void list_hid(std::vector<NodeRecord>& records) {
    const std::unique_ptr<hid_device_info, void (*)(hid_device_info*)> found(
        hid_enumerate(wire::k_usb_vendor, wire::k_usb_product), hid_free_enumeration);
    for (const hid_device_info* one = found.get(); one != nullptr; one = one->next) {
        NodeRecord record;
        record.kind = NodeKind::hid;
        record.path = text_of(one->path);
        record.vendor = one->vendor_id;
        record.product = one->product_id;
        record.serial_text = text_of(one->serial_number);
        record.product_text = text_of(one->product_string);
        record.is_raw_channel = one->usage_page == wire::k_raw_usage_page && one->usage == wire::k_raw_usage;
        record.is_accessible = is_accessible(record.path);
        if (!record.path.empty()) records.push_back(std::move(record));
    }
}

Status list_serial(std::vector<NodeRecord>& records) {
    sp_port** ports = nullptr;
    if (sp_list_ports(&ports) != SP_OK) return fail(Errc::io, "serial ports", "the system gives no list");
    const std::unique_ptr<sp_port*, void (*)(sp_port**)> found(ports, sp_free_port_list);
    for (sp_port** one = ports; *one != nullptr; ++one) {
        int vendor = 0, product = 0;
        if (sp_get_port_transport(*one) != SP_TRANSPORT_USB ||
            sp_get_port_usb_vid_pid(*one, &vendor, &product) != SP_OK)
            continue;
        NodeRecord record;
        record.kind = NodeKind::serial;
        record.path = text_of(sp_get_port_name(*one));
        record.vendor = static_cast<std::uint16_t>(vendor);
        record.product = static_cast<std::uint16_t>(product);
        record.serial_text = text_of(sp_get_port_usb_serial(*one));
        record.product_text = text_of(sp_get_port_usb_product(*one));
        record.is_accessible = is_accessible(record.path);
        records.push_back(std::move(record));
    }
    return Done{};
}

}  // namespace

Result<Sight> scan_libraries() {
    std::vector<NodeRecord> records;
    list_hid(records);
    if (auto listed = list_serial(records); !listed) return listed.failure();
    std::erase_if(records, [](const NodeRecord& node) {
        return node.vendor != wire::k_usb_vendor || node.product != wire::k_usb_product;
    });
    group_by_serial(records);
    return sight_of(records);
}

}  // namespace fettle::link
