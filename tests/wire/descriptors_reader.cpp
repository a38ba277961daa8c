#include "tests/wire/descriptors_reader.hpp"

#include <stdlib.h>

#include <cstdio>
#include <filesystem>
#include <fstream>
#include <sstream>

namespace fettle::wire {
namespace {

// Source: the usbmon binary interface of the Linux kernel (Documentation/usb/usbmon.rst), 64-byte header, and
// libpcap's file format with link type 220.
class Capture {
public:
    explicit Capture(const std::filesystem::path& path) : file_(path, std::ios::binary) {
        put32(0xA1B2C3D4u);
        put16(2);
        put16(4);
        put32(0);
        put32(0);
        put32(65535);
        put32(220);
    }

    void control(const Bytes& setup, const Bytes& answer) {
        ++urb_;
        record('S', 2, 0x80, &setup, {}, static_cast<uint32_t>(answer.size()));
        record('C', 2, 0x80, nullptr, answer, static_cast<uint32_t>(answer.size()));
    }

    void interrupt_in(const Bytes& report) {
        ++urb_;
        record('S', 1, 0x81, nullptr, {}, 64);
        record('C', 1, 0x81, nullptr, report, static_cast<uint32_t>(report.size()));
    }

private:
    void put8(unsigned v) { file_.put(static_cast<char>(v & 0xFFu)); }
    void put16(unsigned v) {
        put8(v);
        put8(v >> 8);
    }
    void put32(uint32_t v) {
        put16(v);
        put16(v >> 16);
    }
    void record(char kind, unsigned transfer, unsigned endpoint, const Bytes* setup, const Bytes& data,
                uint32_t asked) {
        const auto size = static_cast<uint32_t>(64 + data.size());
        put32(urb_);  // seconds
        put32(0);
        put32(size);
        put32(size);
        put32(urb_);  // id, 64 bits
        put32(0);
        put8(static_cast<unsigned char>(kind));
        put8(transfer);
        put8(endpoint);
        put8(5);   // device
        put16(1);  // bus
        put8(setup != nullptr ? 0 : '-');
        put8(kind == 'C' ? 0 : '<');
        put32(1);
        put32(0);                                              // time, 64 bits
        put32(0);                                              // and microseconds
        put32(kind == 'C' ? 0 : static_cast<uint32_t>(-115));  // status: in progress
        put32(asked);
        put32(static_cast<uint32_t>(data.size()));
        for (size_t i = 0; i < 8; ++i) put8(setup != nullptr ? (*setup)[i] : 0);
        for (int i = 0; i < 4; ++i) put32(i == 0 ? 1 : 0);  // interval, start frame, flags, descriptors
        for (uint8_t byte : data) put8(byte);
    }

    std::ofstream file_;
    uint32_t urb_ = 0;
};

void write_capture(const std::filesystem::path& path, const Bytes& descriptor, int protocol,
                   const std::vector<Bytes>& reports) {
    const auto low = static_cast<uint8_t>(descriptor.size() & 0xFF);
    const auto high = static_cast<uint8_t>(descriptor.size() >> 8);
    const auto boot = static_cast<uint8_t>(protocol != 0 ? 1 : 0);
    const Bytes device = {18, 1, 0, 2, 0, 0, 0, 64, 0x09, 0x12, 1, 0, 0, 1, 0, 0, 0, 1};
    const Bytes configuration = {
        9, 2, 34,   0,    1, 1, 0, 0xA0, 50,  9,    4, 0, 0,    1, 3,  boot, static_cast<uint8_t>(protocol),
        0, 9, 0x21, 0x11, 1, 0, 1, 0x22, low, high, 7, 5, 0x81, 3, 64, 0,    1};
    Capture capture(path);
    capture.control({0x80, 6, 0, 1, 0, 0, 18, 0}, device);
    capture.control({0x80, 6, 0, 2, 0, 0, 34, 0}, configuration);
    capture.control({0x00, 9, 1, 0, 0, 0, 0, 0}, {});
    capture.control({0x81, 6, 0, 0x22, 0, 0, low, high}, descriptor);
    for (const Bytes& report : reports) capture.interrupt_in(report);
}

std::string run(const std::string& command) {
    std::string out;
    FILE* pipe = popen(command.c_str(), "r");
    if (pipe == nullptr) return out;
    char part[4096];
    for (size_t n; (n = fread(part, 1, sizeof part, pipe)) > 0;) out.append(part, n);
    pclose(pipe);
    return out;
}

std::string read_capture(const Bytes& descriptor, int protocol, const std::vector<Bytes>& reports,
                         const std::string& options) {
    char folder[] = "/tmp/fettle-capture-XXXXXX";
    if (mkdtemp(folder) == nullptr) return "";
    const std::filesystem::path path = std::filesystem::path(folder) / "one.pcap";
    write_capture(path, descriptor, protocol, reports);
    const std::string text = run("tshark -n -r " + path.string() + " " + options + " 2>/dev/null");
    std::filesystem::remove_all(folder);
    return text;
}

/// The value of an XML attribute in one line.
std::string attribute(const std::string& line, const std::string& name) {
    const size_t at = line.find(" " + name + "=\"");
    if (at == std::string::npos) return "";
    const size_t from = at + name.size() + 3;
    return line.substr(from, line.find('"', from) - from);
}

}  // namespace

bool has_reader() {
    return run("command -v tshark") != "";
}

std::vector<std::vector<Field>> read_reports(const Bytes& descriptor, int protocol,
                                             const std::vector<Bytes>& reports) {
    std::istringstream lines(read_capture(descriptor, protocol, reports, "-T pdml -Y usbhid.data"));
    std::vector<std::vector<Field>> all;
    for (std::string line; std::getline(lines, line);) {
        if (line.find("<packet>") != std::string::npos) all.emplace_back();
        const std::string name = attribute(line, "name");
        if (all.empty() || name.rfind("usbhid.", 0) != 0) continue;
        std::string words = attribute(line, "showname");
        // "1111 1110 = X Axis: -2": the bits say nothing new.
        const size_t equals = words.find(" = ");
        if (equals != std::string::npos) words = words.substr(equals + 3);
        all.back().push_back({name, words, attribute(line, "value"),
                              std::strtoul(attribute(line, "size").c_str(), nullptr, 10)});
    }
    return all;
}

std::string read_descriptor(const Bytes& descriptor, int protocol) {
    return read_capture(descriptor, protocol, {}, "-V");
}

}  // namespace fettle::wire
