// The USB descriptors, taken apart one by one as a host does (USB 2.0, 9.5: length, type, contents).
#include "core/wire/usb_descriptors.hpp"

#include <doctest/doctest.h>

#include <map>
#include <set>
#include <string>
#include <vector>

namespace fettle::wire {
namespace {

using Bytes = std::vector<uint8_t>;

Bytes from_rom(const uint8_t* rom, uint16_t count) {
    Bytes bytes(count);
    read_rom(rom, bytes.data(), count);
    return bytes;
}

/// The configuration, split into its descriptors. Each is at least its own length and type.
std::vector<Bytes> parts() {
    const Bytes all = from_rom(k_configuration_descriptor, k_configuration_descriptor_bytes);
    std::vector<Bytes> split;
    for (size_t at = 0; at < all.size();) {
        REQUIRE(all[at] >= 2);
        REQUIRE(at + all[at] <= all.size());
        split.emplace_back(all.begin() + static_cast<std::ptrdiff_t>(at),
                           all.begin() + static_cast<std::ptrdiff_t>(at + all[at]));
        at += all[at];
    }
    return split;
}

std::vector<Bytes> parts_of(uint8_t type) {
    std::vector<Bytes> found;
    for (const Bytes& part : parts())
        if (part[1] == type) found.push_back(part);
    return found;
}

TEST_CASE("usb: the device is 18 bytes, USB 2.0 at full speed, and says what its release is") {
    const Bytes d = from_rom(k_device_descriptor, k_device_descriptor_bytes);
    // Source: USB 2.0, table 9-8; class triple of an interface association: its ECN of 2003.
    CHECK(d[0] == 18);
    CHECK(d[1] == 1);
    CHECK((d[2] | d[3] << 8) == 0x0200);
    CHECK(Bytes(d.begin() + 4, d.begin() + 7) == Bytes{0xEF, 0x02, 0x01});
    CHECK(d[7] == 64);
    CHECK((d[8] | d[9] << 8) == 0x1209);  // Source: usb.ids (Debian package usb.ids), pid.codes Test PID
    CHECK((d[10] | d[11] << 8) == 0x0001);
    CHECK((d[12] | d[13] << 8) == k_descriptor_release_bcd);
    CHECK(std::set<uint8_t>{d[14], d[15], d[16]}.size() == 3);
    CHECK(d[17] == 1);
}

TEST_CASE("usb: the configuration's parts add up to its total length of 150, 5 interfaces, remote wake-up") {
    size_t sum = 0;
    for (const Bytes& part : parts()) sum += part.size();
    const Bytes head = parts().front();
    CHECK(sum == 150);
    // Source: USB 2.0, table 9-10. D7 is 1, D5 remote wake-up.
    CHECK(head.size() == 9);
    CHECK((head[2] | head[3] << 8) == 150);
    CHECK(head[4] == 5);
    CHECK(head[5] != 0);
    CHECK(head[7] == 0xA0);
    CHECK(head[8] * 2 <= 500);
}

TEST_CASE("usb: each part has the length that its type has in the standards") {
    // Source: USB 2.0, tables 9-10, 9-12, 9-13; HID 1.11, 6.2.1; interface association ECN, table 9-Z.
    const std::map<uint8_t, size_t> lengths = {{2, 9}, {4, 9}, {5, 7}, {0x21, 9}, {0x0B, 8}};
    for (const Bytes& part : parts())
        if (const auto found = lengths.find(part[1]); found != lengths.end())
            CHECK(part.size() == found->second);
        else
            CHECK(part[1] == 0x24);
    // Source: CDC 1.2, 5.2.3.1 and 5.2.3.2; PSTN 1.2, 5.3.1 and 5.3.2.
    const std::map<uint8_t, size_t> functional = {{0, 5}, {1, 5}, {2, 4}, {6, 5}};
    CHECK(parts_of(0x24).size() == 4);
    for (const Bytes& part : parts_of(0x24)) CHECK(part.size() == functional.at(part[2]));
}

TEST_CASE("usb: interfaces 0 to 4 in order, each with as many endpoints as it says") {
    int number = -1, endpoints = 0, promised = 0;
    for (const Bytes& part : parts()) {
        if (part[1] == 4) {
            CHECK(endpoints == promised);
            CHECK(part[2] == ++number);
            endpoints = 0;
            promised = part[4];
        }
        endpoints += part[1] == 5 ? 1 : 0;
    }
    CHECK(endpoints == promised);
    CHECK(number == 4);
}

TEST_CASE("usb: 6 endpoints with 6 numbers, none larger than 64 bytes, 832 bytes with the control one") {
    // Source: ATmega16U4/32U4 data sheet, USB device: endpoints 1 to 6, 832 bytes of memory.
    std::set<int> numbers;
    int bytes = 64;
    const std::map<int, int> sizes = {{0x81, 8}, {0x82, 16}, {0x83, 64}, {0x84, 8}, {0x05, 64}, {0x86, 64}};
    for (const Bytes& part : parts_of(5)) {
        numbers.insert(part[2] & 0x0F);
        CHECK((part[4] | part[5] << 8) == sizes.at(part[2]));
        CHECK((part[3] & 3) == (part[2] == 0x05 || part[2] == 0x86 ? 2 : 3));
        bytes += part[4];
        if (part[2] <= 0x83 && part[2] >= 0x81) CHECK(part[6] == 1);
    }
    CHECK(numbers == std::set<int>{1, 2, 3, 4, 5, 6});
    CHECK(bytes <= 832);
}

TEST_CASE("usb: 3 HID functions name the lengths of their report descriptors; 2 of them boot") {
    // Source: HID 1.11, 4.2 and 4.3: subclass 1, protocol 1 keyboard, 2 mouse; 6.2.1: bcdHID 1.11.
    const auto hids = parts_of(0x21);
    REQUIRE(hids.size() == 3);
    const int wanted[] = {k_keyboard_descriptor_bytes, k_pointer_descriptor_bytes, k_raw_descriptor_bytes};
    const Bytes triples[] = {{3, 1, 1}, {3, 1, 2}, {3, 0, 0}};
    const auto interfaces = parts_of(4);
    for (size_t i = 0; i < 3; ++i) {
        CHECK((hids[i][2] | hids[i][3] << 8) == 0x0111);
        CHECK(hids[i][5] == 1);
        CHECK(hids[i][6] == 0x22);
        CHECK((hids[i][7] | hids[i][8] << 8) == wanted[i]);
        CHECK(Bytes(interfaces[i].begin() + 5, interfaces[i].begin() + 8) == triples[i]);
    }
}

TEST_CASE("usb: one association binds interfaces 3 and 4, and the union says the same") {
    const auto bound = parts_of(0x0B);
    REQUIRE(bound.size() == 1);
    CHECK(bound[0][2] == 3);
    CHECK(bound[0][3] == 2);
    // Source: CDC 1.2, 4.2 and 4.3: communications class 2, abstract control model 2; data class 0A.
    CHECK(bound[0][4] == 2);
    CHECK(bound[0][5] == 2);
    for (const Bytes& part : parts_of(0x24))
        if (part[2] == 6) CHECK(Bytes(part.begin() + 3, part.end()) == Bytes{3, 4});
    CHECK(parts_of(4)[3][5] == 2);
    CHECK(parts_of(4)[4][5] == 0x0A);
}

TEST_CASE("usb: the two texts are 6 and 20 characters of ASCII, without a zero") {
    const auto text = [](const char* rom, uint8_t count) {
        const Bytes bytes = from_rom(reinterpret_cast<const uint8_t*>(rom), count);
        return std::string(bytes.begin(), bytes.end());
    };
    CHECK(text(k_maker_text, k_maker_text_bytes) == "Fettle");
    CHECK(text(k_product_text, k_product_text_bytes) == "Fettle access device");
}

}  // namespace
}  // namespace fettle::wire
