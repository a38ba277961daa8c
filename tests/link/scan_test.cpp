// What a node is, and which nodes are one device: no system is asked here.

#include "core/link/scan.hpp"

#include <doctest/doctest.h>
#include <initializer_list>
#include <string>
#include <vector>

#include "core/link/sight_records.hpp"
#include "core/wire/usb_descriptors.hpp"

using namespace fettle;
using namespace fettle::link;

namespace {

using Bytes = std::vector<std::uint8_t>;

bool is_raw(const Bytes& descriptor) {
    return is_raw_channel(descriptor.data(), descriptor.size());
}
Bytes raw_descriptor() {
    return {wire::k_raw_descriptor, wire::k_raw_descriptor + wire::k_raw_descriptor_bytes};
}

struct DescriptorRow {
    const char* name;
    Bytes bytes;
    bool is_raw;
};

// Source of the items: Device Class Definition for HID 1.11, section 6.2.2.
const DescriptorRow k_descriptors[] = {
    {"nothing", {}, false},
    {"page, usage, application", {0x06, 0x8E, 0xFF, 0x09, 0x01, 0xA1, 0x01}, true},
    {"usage before page", {0x09, 0x01, 0x06, 0x8E, 0xFF, 0xA1, 0x01}, true},
    {"page of four bytes", {0x07, 0x8E, 0xFF, 0x00, 0x00, 0x09, 0x01, 0xA1, 0x01}, true},
    {"usage that brings its page", {0x0B, 0x01, 0x00, 0x8E, 0xFF, 0xA1, 0x01}, true},
    {"usage that brings another page", {0x06, 0x8E, 0xFF, 0x0B, 0x01, 0x00, 0x01, 0x00, 0xA1, 0x01}, false},
    {"usage of two bytes", {0x06, 0x8E, 0xFF, 0x0A, 0x01, 0x00, 0xA1, 0x01}, true},
    {"usage of two bytes, another one", {0x06, 0x8E, 0xFF, 0x0A, 0x01, 0x01, 0xA1, 0x01}, false},
    {"another usage", {0x06, 0x8E, 0xFF, 0x09, 0x02, 0xA1, 0x01}, false},
    {"another vendor page", {0x06, 0x8F, 0xFF, 0x09, 0x01, 0xA1, 0x01}, false},
    {"no usage", {0x06, 0x8E, 0xFF, 0xA1, 0x01}, false},
    {"the first of two usages counts", {0x06, 0x8E, 0xFF, 0x09, 0x01, 0x09, 0x02, 0xA1, 0x01}, true},
    {"no collection", {0x06, 0x8E, 0xFF, 0x09, 0x01}, false},
    {"a physical collection only", {0x06, 0x8E, 0xFF, 0x09, 0x01, 0xA1, 0x00}, false},
    {"a physical collection ends what is local",
     {0x06, 0x8E, 0xFF, 0x09, 0x01, 0xA1, 0x00, 0xA1, 0x01},
     false},
    {"a second application collection is not looked at",
     {0x05, 0x01, 0x09, 0x06, 0xA1, 0x01, 0xC0, 0x06, 0x8E, 0xFF, 0x09, 0x01, 0xA1, 0x01, 0xC0},
     false},
    {"popped page", {0x06, 0x8E, 0xFF, 0xA4, 0x05, 0x01, 0xB4, 0x09, 0x01, 0xA1, 0x01}, true},
    {"page lost by a pop", {0x05, 0x01, 0xA4, 0x06, 0x8E, 0xFF, 0xB4, 0x09, 0x01, 0xA1, 0x01}, false},
    {"pop of nothing", {0xB4, 0x06, 0x8E, 0xFF, 0x09, 0x01, 0xA1, 0x01}, false},
    {"five pushes", {0xA4, 0xA4, 0xA4, 0xA4, 0xA4, 0x06, 0x8E, 0xFF, 0x09, 0x01, 0xA1, 0x01}, false},
    {"a long item is skipped",
     {0xFE, 0x02, 0x10, 0xA1, 0x01, 0x06, 0x8E, 0xFF, 0x09, 0x01, 0xA1, 0x01},
     true},
    {"a long item past the end", {0xFE, 0xFF, 0x10, 0x06, 0x8E, 0xFF, 0x09, 0x01, 0xA1, 0x01}, false},
    {"half a long item", {0xFE, 0x00}, false},
    {"cut in the collection's data", {0x06, 0x8E, 0xFF, 0x09, 0x01, 0xA1}, false},
    {"cut in the page", {0x06, 0x8E}, false},
};

NodeRecord node(NodeKind kind, const char* place, const char* path) {
    NodeRecord record;
    record.kind = kind;
    record.group = record.place = place;
    record.path = path;
    record.vendor = wire::k_usb_vendor;
    record.product = wire::k_usb_product;
    record.serial_text = "FT000001";
    record.product_text = "Fettle access device";
    return record;
}
NodeRecord usb(const char* place) {
    return node(NodeKind::device, place, "");
}
NodeRecord raw(const char* place, const char* path) {
    NodeRecord record = node(NodeKind::hid, place, path);
    record.is_raw_channel = is_raw(raw_descriptor());
    return record;
}
NodeRecord keyboard(const char* place, const char* path) {
    return node(NodeKind::hid, place, path);
}
NodeRecord port(const char* place, const char* path) {
    return node(NodeKind::serial, place, path);
}
NodeRecord with_serial(NodeRecord record, const char* serial) {
    record.serial_text = serial;
    return record;
}
NodeRecord with_product(NodeRecord record, const char* product) {
    record.product_text = product;
    return record;
}
NodeRecord with_ids(NodeRecord record, std::uint16_t vendor, std::uint16_t product) {
    record.vendor = vendor;
    record.product = product;
    return record;
}

Attached by_hid(const char* place, const char* path, const char* serial, const char* fallback) {
    return {ChannelKind::hid, path, serial, "Fettle access device", place, fallback, true};
}

}  // namespace

TEST_CASE("raw channel: 25 descriptors, told by the first application collection") {
    for (const DescriptorRow& row : k_descriptors) {
        CAPTURE(row.name);
        CHECK(is_raw(row.bytes) == row.is_raw);
    }
    CHECK_FALSE(is_raw_channel(nullptr, 7));
}

TEST_CASE("raw channel: of our three HID interfaces only the raw one is it") {
    CHECK(is_raw(raw_descriptor()));
    CHECK_FALSE(is_raw_channel(wire::k_keyboard_descriptor, wire::k_keyboard_descriptor_bytes));
    CHECK_FALSE(is_raw_channel(wire::k_pointer_descriptor, wire::k_pointer_descriptor_bytes));
}

TEST_CASE("raw channel: each beginning of it is one as soon as the collection's 7 bytes are there") {
    const Bytes whole = raw_descriptor();
    for (std::size_t bytes = 0; bytes <= whole.size(); ++bytes) {
        CAPTURE(bytes);
        const Bytes part(whole.begin(), whole.begin() + static_cast<std::ptrdiff_t>(bytes));
        CHECK(is_raw(part) == (bytes >= 7));
    }
}

TEST_CASE("raw channel: a descriptor of 4096 long items ends") {
    Bytes many;
    for (int i = 0; i < 4096; ++i) many.insert(many.end(), {0xFE, 0x00, 0x00});
    CHECK_FALSE(is_raw(many));
    many.insert(many.end(), {0x06, 0x8E, 0xFF, 0x09, 0x01, 0xA1, 0x01});
    CHECK(is_raw(many));
}

TEST_CASE("printable: 95 characters stay, the other 161 become '?'") {
    std::string all;
    for (int c = 0; c < 256; ++c) all += static_cast<char>(c);
    const std::string shown = printable(all, 256);
    REQUIRE(shown.size() == 256);
    for (int c = 0; c < 256; ++c) {
        CAPTURE(c);
        const bool stays = c >= 0x20 && c <= 0x7E;  // Source: ISO/IEC 646, graphic characters and space
        CHECK(shown[static_cast<std::size_t>(c)] == (stays ? static_cast<char>(c) : '?'));
    }
}

TEST_CASE("printable: at most 64 characters, or as many as asked for") {
    CHECK(printable(std::string(1000, 'a')) == std::string(64, 'a'));
    CHECK(printable("abc", 2) == "ab");
    CHECK(printable("", 0).empty());
}

TEST_CASE("sight: one device of 4 nodes is one entry, opened by HID, with its serial port beside it") {
    const Sight sight =
        sight_of({usb("1-1"), keyboard("1-1", "/dev/hidraw0"), keyboard("1-1", "/dev/hidraw1"),
                  raw("1-1", "/dev/hidraw2"), port("1-1", "/dev/ttyACM0")});
    CHECK(sight.devices == std::vector<Attached>{by_hid("1-1", "/dev/hidraw2", "FT000001", "/dev/ttyACM0")});
    CHECK(sight.strangers.empty());
}

TEST_CASE(
    "sight: two devices are two entries by place, each with its own port, whatever order they came in") {
    const Sight sight =
        sight_of({port("1-2", "/dev/ttyACM0"), with_serial(raw("1-1", "/dev/hidraw5"), "B"),
                  with_serial(port("1-1", "/dev/ttyACM1"), "B"), usb("1-2"), raw("1-2", "/dev/hidraw2")});
    CHECK(sight.devices == std::vector<Attached>{by_hid("1-1", "/dev/hidraw5", "B", "/dev/ttyACM1"),
                                                 by_hid("1-2", "/dev/hidraw2", "FT000001", "/dev/ttyACM0")});
}

TEST_CASE("sight: two devices with one serial number are told apart by place") {
    const Sight sight = sight_of({raw("1-1", "/dev/hidraw2"), port("1-1", "/dev/ttyACM0"),
                                  raw("1-2", "/dev/hidraw5"), port("1-2", "/dev/ttyACM1")});
    CHECK(sight.devices == std::vector<Attached>{by_hid("1-1", "/dev/hidraw2", "FT000001", "/dev/ttyACM0"),
                                                 by_hid("1-2", "/dev/hidraw5", "FT000001", "/dev/ttyACM1")});
}

TEST_CASE("sight: a changed serial number is another sight") {
    const Sight before = sight_of({raw("1-1", "/dev/hidraw2")});
    const Sight after = sight_of({with_serial(raw("1-1", "/dev/hidraw2"), "FT000002")});
    CHECK(before != after);
    CHECK(after.devices[0].serial == "FT000002");
}

TEST_CASE("sight: HID alone has no fallback") {
    const Sight sight = sight_of({usb("1-1"), raw("1-1", "/dev/hidraw2")});
    CHECK(sight.devices == std::vector<Attached>{by_hid("1-1", "/dev/hidraw2", "FT000001", "")});
}

TEST_CASE("sight: a serial port alone is ours where its product text begins with our 6 letters") {
    struct Row {
        const char* product;
        bool is_ours;
    };
    const Row rows[] = {{"Fettle access device", true},
                        {"Fettle", true},
                        {"Fettl", false},
                        {"", false},
                        {"fettle", false},
                        {"A Fettle", false}};
    for (const Row& row : rows) {
        CAPTURE(row.product);
        const Sight sight = sight_of({usb("1-1"), with_product(port("1-1", "/dev/ttyACM0"), row.product)});
        REQUIRE(sight.devices.size() == (row.is_ours ? 1 : 0));
        CHECK(sight.strangers.size() == (row.is_ours ? 0 : 1));
        if (!row.is_ours) continue;
        CHECK(sight.devices[0] ==
              Attached{ChannelKind::serial, "/dev/ttyACM0", "FT000001", row.product, "1-1", "", true});
    }
}

TEST_CASE("sight: a device of 4 interfaces is unfinished until each has its node") {
    std::vector<NodeRecord> records(4, node(NodeKind::interface, "1-1", ""));
    const NodeRecord nodes[] = {keyboard("1-1", "/dev/hidraw0"), keyboard("1-1", "/dev/hidraw1"),
                                raw("1-1", "/dev/hidraw2"), port("1-1", "/dev/ttyACM0")};
    for (const NodeRecord& one : nodes) {
        CHECK(sight_of(records).unfinished == std::vector<std::string>{"1-1"});
        records.push_back(one);
    }
    CHECK(sight_of(records).unfinished.empty());
    records.push_back(node(NodeKind::interface, "1-2", ""));
    CHECK(sight_of(records).unfinished == std::vector<std::string>{"1-2"});
}

TEST_CASE("sight: our ids with neither channel, or with other HID interfaces only, are a stranger") {
    const Sight sight =
        sight_of({with_product(usb("1-1"), "boot loader"), usb("1-2"), keyboard("1-2", "/dev/hidraw0")});
    CHECK(sight.devices.empty());
    CHECK(sight.strangers == std::vector<Stranger>{{"1-1", "boot loader"}, {"1-2", "Fettle access device"}});
}

TEST_CASE("sight: other ids are left out, a mouse as well as one with our usage page and our name") {
    const Sight sight = sight_of({with_ids(usb("1-1"), 0x046D, 0xC077),  // ids of no device of ours
                                  with_ids(keyboard("1-1", "/dev/hidraw0"), 0x046D, 0xC077),
                                  with_ids(raw("1-2", "/dev/hidraw1"), wire::k_usb_vendor, 0x0002),
                                  with_ids(port("1-2", "/dev/ttyACM0"), 0x0001, wire::k_usb_product)});
    CHECK(sight == Sight{});
}

TEST_CASE("sight: rights are those of the node that is opened") {
    NodeRecord refused = raw("1-1", "/dev/hidraw2");
    refused.is_accessible = false;
    CHECK_FALSE(sight_of({refused, port("1-1", "/dev/ttyACM0")}).devices[0].is_accessible);
    NodeRecord refused_port = port("1-1", "/dev/ttyACM0");
    refused_port.is_accessible = false;
    CHECK(sight_of({raw("1-1", "/dev/hidraw2"), refused_port}).devices[0].is_accessible);
    CHECK_FALSE(sight_of({refused_port}).devices[0].is_accessible);
}

TEST_CASE("sight: two raw channels in one device are one entry, by the first path") {
    const Sight sight = sight_of({raw("1-1", "/dev/hidraw3"), raw("1-1", "/dev/hidraw2")});
    CHECK(sight.devices == std::vector<Attached>{by_hid("1-1", "/dev/hidraw2", "FT000001", "")});
}

TEST_CASE("sight: hostile texts are at most 64 printable characters") {
    const std::string hostile = "\x1b[2J\n\xff\xfe" + std::string(500, 'A');
    const Sight sight =
        sight_of({with_product(with_serial(raw("1-1", "/dev/hidraw2"), hostile.c_str()), hostile.c_str()),
                  with_product(usb("1-2"), hostile.c_str())});
    const std::string shown = "?[2J???" + std::string(57, 'A');
    CHECK(sight.devices[0].serial == shown);
    CHECK(sight.devices[0].product == shown);
    CHECK(sight.strangers[0].product == shown);
}

TEST_CASE("by serial number: the nodes of one device come together where the system does not say so") {
    std::vector<NodeRecord> records = {keyboard("", "a"), raw("", "b"), port("", "c"),
                                       with_serial(raw("", "d"), "other")};
    group_by_serial(records);
    const Sight sight = sight_of(records);
    CHECK(sight.devices ==
          std::vector<Attached>{by_hid("", "b", "FT000001", "c"), by_hid("", "d", "other", "")});
    CHECK(sight.strangers.empty());
}

TEST_CASE("by serial number: 2 devices with one number, or with none, keep their ports to themselves") {
    for (const char* serial : {"FT000001", ""}) {
        CAPTURE(serial);
        std::vector<NodeRecord> records = {keyboard("", "a"), raw("", "b"), port("", "c"),
                                           keyboard("", "d"), raw("", "e"), port("", "f")};
        for (NodeRecord& record : records) record.serial_text = serial;
        group_by_serial(records);
        const Sight sight = sight_of(records);
        REQUIRE(sight.devices.size() == 4);
        for (const Attached& one : sight.devices) CHECK(one.fallback_path.empty());
        CHECK(sight.strangers.empty());
    }
}

TEST_CASE("by serial number: interfaces without a channel are strangers") {
    std::vector<NodeRecord> records = {keyboard("", "a"), keyboard("", "b")};
    group_by_serial(records);
    const Sight sight = sight_of(records);
    CHECK(sight.devices.empty());
    CHECK(sight.strangers.size() == 1);
}

TEST_CASE("scan: both ways give a list on this computer, with a path for each entry") {
    for (auto* scan : {scan_kernel, scan_libraries}) {
        const auto sight = scan();
        REQUIRE(sight.has_value());
        for (const Attached& one : sight->devices) CHECK_FALSE(one.path.empty());
    }
}
