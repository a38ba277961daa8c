// The report descriptors, read by tshark's HID dissector, must lay out exactly the reports that Output fills.
// Source: the dissector of Wireshark (Debian package tshark), which shares no line with this project; item
// bytes: Device Class Definition for HID 1.11, 6.2.2.
#include "core/wire/descriptors.hpp"

#include <doctest/doctest.h>

#include <cstdio>
#include <map>

#include "core/engine/output.hpp"
#include "core/wire/frame.hpp"
#include "tests/wire/descriptors_reader.hpp"

namespace fettle::wire {
namespace {

using engine::Endpoint;
using engine::Output;
using engine::Report;

Bytes from_rom(const uint8_t* rom, uint16_t count) {
    Bytes bytes(count);
    read_rom(rom, bytes.data(), count);
    return bytes;
}
Bytes keyboard() {
    return from_rom(k_keyboard_descriptor, k_keyboard_descriptor_bytes);
}
Bytes pointer() {
    return from_rom(k_pointer_descriptor, k_pointer_descriptor_bytes);
}
Bytes raw() {
    return from_rom(k_raw_descriptor, k_raw_descriptor_bytes);
}

/// Bits of input and output of each report id, counted from the short items alone. Key: id * 2 + is_output.
std::map<int, int> count_bits(const Bytes& d) {
    std::map<int, int> bits;
    int size = 0, count = 0, id = 0, open = 0;
    for (size_t at = 0; at < d.size();) {
        const size_t length = (d[at] & 3) == 3 ? 4 : d[at] & 3;
        REQUIRE(at + length < d.size() + (length == 0 ? 1 : 0));
        const int value = length == 0 ? 0 : d[at + 1];
        switch (d[at] & 0xFC) {
            case 0x74: size = value; break;
            case 0x94: count = value; break;
            case 0x84: id = value; break;
            case 0x80: bits[id * 2] += size * count; break;
            case 0x90: bits[id * 2 + 1] += size * count; break;
            case 0xA0: ++open; break;
            case 0xC0: --open; break;
        }
        at += 1 + length;
    }
    CHECK(open == 0);
    return bits;
}

/// Drives one Output whose host reads each millisecond.
class Source {
public:
    Source() {
        out.reset();
        for (int i = 0; i < 10; ++i) next();
    }
    /// The first report of this endpoint within 100 ms.
    Bytes report(Endpoint endpoint) {
        for (int i = 0; i < 100; ++i) {
            const Report r = next().reports[static_cast<size_t>(endpoint)];
            if (r.size != 0) return Bytes(r.bytes, r.bytes + r.size);
        }
        return {};
    }

    Output out;

private:
    engine::TickOutputs next() {
        engine::TickInputs in{};
        in.now_us = ++now_ms_ * 1000;
        in.taken = taken_;
        engine::TickOutputs made{};
        out.tick(in, made, engine::EventSink{nullptr, nullptr});
        taken_ = static_cast<uint8_t>((made.reports[0].size != 0 ? engine::k_taken_keyboard : 0) |
                                      (made.reports[1].size != 0 ? engine::k_taken_pointer : 0));
        return made;
    }
    uint32_t now_ms_ = 0;
    uint8_t taken_ = 0;
};

/// "(0x0007, 0x0004)" at the end of a field's words, as page << 16 | usage; 0 where there is none.
unsigned long usage_of(const Field& field) {
    unsigned page = 0, usage = 0;
    const size_t at = field.words.rfind("(0x");
    if (at == std::string::npos) return 0;
    if (std::sscanf(field.words.c_str() + at, "(0x%x, 0x%x)", &page, &usage) != 2) return 0;
    return (static_cast<unsigned long>(page) << 16) | usage;
}

std::string after(const std::string& words, const std::string& label) {
    return words.rfind(label, 0) == 0 ? words.substr(label.size()) : "";
}

/// Modifiers and usages as the dissector saw them: "43: 04 a4".
std::string keyboard_words(const std::vector<Field>& fields) {
    unsigned mods = 0;
    std::string keys;
    for (const Field& f : fields) {
        unsigned usage = 0;
        const size_t at = f.words.rfind("(0x");
        if (f.name == "usbhid.data.key.variable" && at != std::string::npos &&
            std::sscanf(f.words.c_str() + at, "(0x%x)", &usage) == 1 && f.words.ends_with(": DOWN")) {
            mods |= 1u << (usage - 0xE0);
        }
        if (f.name == "usbhid.data.array.usage" && (usage_of(f) & 0xFFFF) != 0) {
            char text[8];
            std::snprintf(text, sizeof text, " %02lx", usage_of(f) & 0xFFFF);
            keys += text;
            if (usage_of(f) >> 16 != 7) keys += "?";
        }
    }
    char text[8];
    std::snprintf(text, sizeof text, "%02x:", mods);
    return text + keys;
}

/// "1 5 | 300 -300 | 1 -1": id, buttons in binary order, x, y, wheel, pan.
std::string pointer_words(const std::vector<Field>& fields) {
    std::string id, buttons, x, y, wheel, pan;
    for (const Field& f : fields) {
        if (f.name == "usbhid.data.report_id") id = after(f.words, "Report ID: 0x");
        if (f.name == "usbhid.data.button" && f.words.ends_with(": DOWN")) buttons += f.words.substr(8, 1);
        if (f.name == "usbhid.data.axis.x") x = after(f.words, "X Axis: ");
        if (f.name == "usbhid.data.axis.y") y = after(f.words, "Y Axis: ");
        if (wheel.empty()) wheel = after(f.words, "Usage: Wheel: ");
        if (pan.empty()) pan = after(f.words, "Usage: AC Pan: ");
    }
    return id + " " + buttons + " | " + x + " " + y + " | " + wheel + " " + pan;
}

bool is_reader_missing() {
    if (has_reader()) return false;
    MESSAGE("SKIPPED: tshark is not installed (Debian package tshark)");
    return true;
}

TEST_CASE("descriptors: reports are 8 bytes, 8 and 3 with id, and 64 with id in both directions") {
    CHECK(count_bits(keyboard()) == std::map<int, int>{{0, 64}, {1, 8}});
    CHECK(count_bits(pointer()) == std::map<int, int>{{2, 56}, {4, 16}});
    CHECK(count_bits(raw()) == std::map<int, int>{{2, 504}, {3, 504}});
    CHECK(k_hid_report_bytes == 64);
}

TEST_CASE("descriptors: each of the 3 ends with an end of collection; raw begins with page FF8E, usage 01") {
    for (const Bytes& d : {keyboard(), pointer(), raw()}) CHECK(d.back() == 0xC0);
    const Bytes d = raw();
    CHECK(d[0] == 0x06);
    CHECK((d[1] | d[2] << 8) == k_raw_usage_page);
    CHECK(d[4] == k_raw_usage);
}

TEST_CASE("tshark: keyboard reports of 1 to 6 keys, of 7 as 6 ErrorRollOver, and 8 modifiers") {
    if (is_reader_missing()) return;
    Source source;
    std::vector<Bytes> reports;
    std::vector<std::string> wanted = {"43: 04",
                                       "43: 04 a4",
                                       "43: 04 a4 64",
                                       "43: 04 a4 64 65",
                                       "43: 04 a4 64 65 31",
                                       "43: 04 a4 64 65 31 27",
                                       "43: 01 01 01 01 01 01"};
    uint8_t input = 0;
    for (const uint8_t usage : Bytes{0x04, 0xA4, 0x64, 0x65, 0x31, 0x27, 0x39}) {
        source.out.hold_keys(input, input == 0 ? 0x43 : 0, usage);
        ++input;
        reports.push_back(source.report(Endpoint::keyboard));
    }
    for (int bit = 0; bit < 8; ++bit) {
        Source one;
        one.out.hold_keys(1, static_cast<uint8_t>(1 << bit), 0);
        reports.push_back(one.report(Endpoint::keyboard));
        char text[8];
        std::snprintf(text, sizeof text, "%02x:", 1 << bit);
        wanted.push_back(text);
    }
    const auto read = read_reports(keyboard(), 1, reports);
    REQUIRE(read.size() == wanted.size());
    for (size_t i = 0; i < read.size(); ++i) CHECK(keyboard_words(read[i]) == wanted[i]);
}

TEST_CASE("tshark: each of the 161 key usages 04 to A4 is read back as itself, with a name of its own") {
    if (is_reader_missing()) return;
    std::vector<Bytes> reports;
    for (unsigned usage = 0x04; usage <= 0xA4; ++usage) {
        Source one;
        one.out.tap_keys(0, static_cast<uint8_t>(usage));
        reports.push_back(one.report(Endpoint::keyboard));
    }
    const auto read = read_reports(keyboard(), 1, reports);
    REQUIRE(read.size() == 161);
    for (unsigned i = 0; i < read.size(); ++i) {
        const unsigned usage = 0x04 + i;
        CAPTURE(usage);
        char text[16];
        std::snprintf(text, sizeof text, "00: %02x", usage);
        CHECK(keyboard_words(read[i]) == text);
        for (const Field& f : read[i]) {
            if (f.name == "usbhid.data.array.usage") CHECK(f.words.find("Unknown") == std::string::npos);
        }
    }
}

TEST_CASE("tshark: X, Y, wheel and pan of 3 reports at and inside their limits, and buttons 1 to 8") {
    if (is_reader_missing()) return;
    std::vector<Bytes> reports;
    std::vector<std::string> wanted = {"01  | 300 -300 | 1 -1", "01  | 32767 -32767 | 127 -127",
                                       "01  | -1 1 | -1 1"};
    const int16_t counts[3][2] = {{300, -300}, {32767, -32767}, {-1, 1}};
    const int8_t detents[3][2] = {{1, -1}, {127, -127}, {-1, 1}};
    for (int i = 0; i < 3; ++i) {
        Source one;
        one.out.move(counts[i][0], counts[i][1]);
        one.out.scroll(detents[i][0], detents[i][1]);
        reports.push_back(one.report(Endpoint::pointer));
    }
    Source source;
    std::string down;
    for (int bit = 0; bit < 8; ++bit) {
        source.out.hold_buttons(static_cast<uint8_t>(bit), static_cast<uint8_t>(1 << bit));
        reports.push_back(source.report(Endpoint::pointer));
        down += static_cast<char>('1' + bit);
        wanted.push_back("01 " + down + " | 0 0 | 0 0");
    }
    const auto read = read_reports(pointer(), 2, reports);
    REQUIRE(read.size() == wanted.size());
    for (size_t i = 0; i < read.size(); ++i) CHECK(pointer_words(read[i]) == wanted[i]);
}

TEST_CASE("tshark: 8 consumer usages from B5 to 238 and their release, read back with page and number") {
    if (is_reader_missing()) return;
    const std::vector<unsigned> usages = {0xE9, 0xEA, 0xE2, 0xCD, 0xB5, 0x183, 0x223, 0x238};
    std::vector<Bytes> reports;
    for (unsigned usage : usages) {
        Source one;
        one.out.tap_consumer(static_cast<uint16_t>(usage));
        reports.push_back(one.report(Endpoint::pointer));
        reports.push_back(one.report(Endpoint::pointer));
    }
    const auto read = read_reports(pointer(), 2, reports);
    REQUIRE(read.size() == 2 * usages.size());
    for (size_t i = 0; i < read.size(); ++i) {
        unsigned long seen = 1;
        std::string words;
        for (const Field& f : read[i]) {
            if (f.name == "usbhid.data.report_id") CHECK(f.words == "Report ID: 0x02");
            if (f.name != "usbhid.data.array.usage") continue;
            seen = usage_of(f);
            words = f.words;
        }
        CAPTURE(words);
        CHECK(seen == ((0x0CUL << 16) | (i % 2 == 0 ? usages[i / 2] : 0)));
        // HID Usage Tables page 0C: E9 is Volume Increment.
        if (i == 0) CHECK(words.find("Volume Increment") != std::string::npos);
    }
}

TEST_CASE("tshark: a raw report is an id and 63 bytes of vendor data, no byte more or less") {
    if (is_reader_missing()) return;
    uint8_t message[k_message_max];
    for (size_t i = 0; i < sizeof message; ++i) message[i] = static_cast<uint8_t>(i + 1);
    Bytes report(k_hid_report_bytes);
    REQUIRE(pack_report(message, sizeof message, report.data()));
    const auto read = read_reports(raw(), 0, {report});
    REQUIRE(read.size() == 1);
    size_t bytes = 0;
    std::string seen, wanted = "3e";
    for (uint8_t byte : message) {
        char text[4];
        std::snprintf(text, sizeof text, "%02x", byte);
        wanted += text;
    }
    for (const Field& f : read[0]) {
        if (f.name != "usbhid.data") bytes += f.size;
        CAPTURE(f.name);
        CAPTURE(f.words);
        if (f.name == "usbhid.data.report_id") CHECK(f.words == "Report ID: 0x01");
        if (f.name == "usbhid.data.vendor") seen += f.bytes;
    }
    CHECK(bytes == 64);
    CHECK(seen == wanted);
    const std::string text = read_descriptor(raw(), 0);
    CHECK(text.find("0xff8e") != std::string::npos);
}

}  // namespace
}  // namespace fettle::wire
