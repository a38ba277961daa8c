// Infrared against general-purpose encoders and decoders that run during the test:
//   ir-ctl of Debian v4l-utils: encodes a kernel scancode; infrared_fake_lirc.c is built here and preloaded;
//   irsimsend and irsimreceive of Debian lirc: encode and decode keys of remotes that are described here.
// They are looked for in PATH; lirc's plugins in $FETTLE_LIRC_PLUGINS, then below $FETTLE_LIRC_ROOT, then in
// /usr. What is not there is reported as skipped, by name.
#include <doctest/doctest.h>
#include <stdlib.h>
#include <sys/wait.h>

#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <functional>
#include <map>
#include <optional>
#include <sstream>

#include "tests/engine/infrared_support.hpp"

using namespace fettle;
using namespace fettle::test_infrared;
namespace fs = std::filesystem;

namespace {
/// A folder of its own, gone at the end.
class Folder {
public:
    Folder() {
        std::string name = (fs::temp_directory_path() / "fettle-infrared-XXXXXX").string();
        REQUIRE(::mkdtemp(name.data()) != nullptr);
        path_ = name;
    }
    ~Folder() {
        std::error_code ignored;
        fs::remove_all(path_, ignored);
    }
    Folder(const Folder&) = delete;
    Folder& operator=(const Folder&) = delete;
    [[nodiscard]] const fs::path& path() const { return path_; }
    void write(const std::string& name, const std::string& text) const {
        std::ofstream(path_ / name) << text;
    }
    [[nodiscard]] std::string read(const std::string& name) const {
        std::ostringstream text;
        text << std::ifstream(path_ / name).rdbuf();
        return text.str();
    }

private:
    fs::path path_;
};

struct Output {
    int status = -1;
    std::string text;
};

/// Runs a command in a folder; both output streams.
Output run_in(const Folder& folder, const std::string& command) {
    Output output;
    FILE* const pipe =
        ::popen(("cd '" + folder.path().string() + "' && { " + command + "; } 2>&1").c_str(), "r");
    REQUIRE(pipe != nullptr);
    char part[4096];
    for (std::size_t got = 0; (got = std::fread(part, 1, sizeof part, pipe)) > 0;)
        output.text.append(part, got);
    const int status = ::pclose(pipe);
    output.status = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
    return output;
}

bool is_in_path(const std::string& program) {
    return run_in(Folder(), "command -v " + program + " >/dev/null").status == 0;
}

std::string hex(std::uint32_t value) {
    char text[16];
    std::snprintf(text, sizeof text, "0x%x", value);
    return text;
}

std::uint32_t reversed(std::uint32_t value, int bits) {
    std::uint32_t result = 0;
    for (int i = 0; i < bits; ++i) result |= (value >> i & 1) << (bits - 1 - i);
    return result;
}

void check_within_1_us(const Widths& ours, const Widths& theirs) {
    REQUIRE(ours.size() == theirs.size());
    for (std::size_t i = 0; i < ours.size(); ++i) {
        CAPTURE(i);
        CHECK(std::abs(static_cast<int>(ours[i]) - static_cast<int>(theirs[i])) <= 1);
    }
}

/// Source: Linux 6.1, Documentation/userspace-api/media/rc/rc-protos.rst; jvc as its encoder and decoder have
/// it.
std::string kernel_scancode(const IrFrame& f) {
    const std::uint32_t a = f.address, c = f.command;
    switch (f.protocol) {
        case Protocol::nec: return "nec:" + hex(a << 8 | c);
        case Protocol::necx: return "necx:" + hex(a << 8 | c);
        case Protocol::rc5: return "rc5:" + hex(a << 8 | c);
        case Protocol::rc6: return "rc6_0:" + hex(a << 8 | c);
        case Protocol::sirc12: return "sony12:" + hex(a << 16 | c);
        case Protocol::sirc15: return "sony15:" + hex(a << 16 | c);
        case Protocol::sirc20: return "sony20:" + hex(a << 16 | std::uint32_t{f.extended} << 8 | c);
        case Protocol::jvc: return "jvc:" + hex(a << 8 | c);
        case Protocol::sharp: return "sharp:" + hex(a << 8 | c);
        case Protocol::samsung32:
        case Protocol::none:
        case Protocol::unknown: break;
    }
    return {};
}

/// The widths behind each "Sending: +9000 -4500 ..." of ir-ctl -v.
std::vector<Widths> parse_ir_ctl(const std::string& text) {
    std::vector<Widths> all;
    std::istringstream lines(text);
    for (std::string line; std::getline(lines, line);) {
        if (line.find(" +") == std::string::npos) continue;
        std::istringstream words(line.substr(line.find(" +")));
        Widths widths;
        for (long us = 0; words >> us;) widths.push_back(static_cast<std::uint32_t>(std::abs(us)));
        all.push_back(widths);
    }
    return all;
}
}  // namespace

TEST_CASE(
    "infrared: 6 random codes of 9 protocols, encoded by ir-ctl during the test, decode as they were sent") {
    if (!is_in_path("ir-ctl") || !is_in_path("cc")) {
        MESSAGE("SKIPPED: ir-ctl (Debian package v4l-utils) or a C compiler is not installed");
        return;
    }
    const Folder folder;
    const auto built =
        run_in(folder, "cc -shared -fPIC -o fake.so '" FETTLE_ROOT "/tests/engine/infrared_fake_lirc.c'");
    CAPTURE(built.text);
    REQUIRE(built.status == 0);
    Random random(20260720);
    for (const auto protocol : k_all_protocols) {
        if (protocol == Protocol::samsung32) continue;  // ir-ctl has no encoder for it
        for (int i = 0; i < 6; ++i) {
            IrFrame sent = random_frame(protocol, random);
            if (sent.toggle != engine::k_no_toggle) sent.toggle = 0;  // ir-ctl always sends 0
            const auto output =
                run_in(folder, "LD_PRELOAD=./fake.so ir-ctl -v -d /dev/null -S " + kernel_scancode(sent));
            CAPTURE(sent);
            CAPTURE(output.text);
            const auto trains = parse_ir_ctl(output.text);
            REQUIRE(trains.size() == 1);
            CHECK(text_of(decoded(trains[0])) == text_of({sent}));
            // Its sharp has the periods of the bits as spaces: decoded, but no truth about timings.
            if (protocol != Protocol::sharp) check_within_1_us(sim::encode(sent), trains[0]);
        }
    }
}

namespace {
/// A remote as lirc describes it: the lines of lircd.conf(5) before its codes, the first of our protocols
/// that it sends, and a key's value.
struct Remote {
    Protocol protocol;
    const char* lines;
    std::function<std::uint32_t(const IrFrame&)> value;
};

std::uint32_t nec_bits(std::uint32_t first, std::uint32_t second, std::uint32_t command) {
    return reversed(first | second << 8 | command << 16 | (command ^ 0xFF) << 24, 32);
}

constexpr const char* k_nec_lines =
    "bits 32\nflags SPACE_ENC|CONST_LENGTH\nheader 9000 4500\none 563 1688\nzero 563 563\nptrail 563\n"
    "repeat 9000 2250\ngap 108000\n";
#define FETTLE_SIRC_LINES \
    "\nflags SPACE_ENC|CONST_LENGTH\nheader 2400 600\none 1200 600\nzero 600 600\ngap 45000\nmin_repeat 2\n"

const std::vector<Remote>& remotes() {
    static const std::vector<Remote> all = {
        {Protocol::nec, k_nec_lines,
         [](const IrFrame& f) { return nec_bits(f.address, f.address ^ 0xFFu, f.command); }},
        {Protocol::necx, k_nec_lines,
         [](const IrFrame& f) { return nec_bits(f.address >> 8, f.address & 0xFFu, f.command); }},
        {Protocol::samsung32,
         "bits 32\nflags SPACE_ENC|CONST_LENGTH\nheader 4500 4500\none 560 1690\nzero 560 560\nptrail 560\n"
         "gap 108000\n",
         [](const IrFrame& f) { return nec_bits(f.address, f.address, f.command); }},
        {Protocol::jvc,
         "bits 16\nflags SPACE_ENC|CONST_LENGTH|NO_HEAD_REP\nheader 8400 4200\none 525 1575\nzero 525 525\n"
         "ptrail 525\ngap 55000\n",
         [](const IrFrame& f) { return reversed(f.address | std::uint32_t{f.command} << 8, 16); }},
        {Protocol::sirc12, "bits 12" FETTLE_SIRC_LINES,
         [](const IrFrame& f) { return reversed(f.command | std::uint32_t{f.address} << 7, 12); }},
        {Protocol::sirc15, "bits 15" FETTLE_SIRC_LINES,
         [](const IrFrame& f) { return reversed(f.command | std::uint32_t{f.address} << 7, 15); }},
        {Protocol::sirc20, "bits 20" FETTLE_SIRC_LINES,
         [](const IrFrame& f) {
             return reversed(f.command | std::uint32_t{f.address} << 7 | std::uint32_t{f.extended} << 12, 20);
         }},
        {Protocol::rc5,
         "bits 13\nflags RC5|CONST_LENGTH\none 889 889\nzero 889 889\nplead 889\ngap 113792\n"
         "toggle_bit_mask 0x800\n",
         [](const IrFrame& f) {
             return ((f.command & 0x40u) != 0 ? 0u : 0x1000u) | std::uint32_t{f.address} << 6 |
                    (f.command & 0x3Fu);
         }},
        {Protocol::rc6,
         "bits 16\nflags RC6|CONST_LENGTH\nheader 2667 889\none 444 444\nzero 444 444\npre_data_bits 5\n"
         "pre_data 0x0F\ngap 106667\nrc6_mask 0x10000\ntoggle_bit_mask 0x10000\n",
         [](const IrFrame& f) { return 0xFFFFu ^ (std::uint32_t{f.address} << 8 | f.command); }},
    };
    return all;
}

std::string key_name(std::size_t index) {
    std::string name = std::to_string(index);
    name.insert(name.begin(), 'K');
    return name;
}

std::string describe(const Remote& remote, const std::vector<IrFrame>& keys) {
    std::string text = "begin remote\nname R\n";
    text += remote.lines;
    text += "eps 30\naeps 100\nbegin codes\n";
    for (std::size_t i = 0; i < keys.size(); ++i)
        text += key_name(i) + ' ' + hex(remote.value(keys[i])) + '\n';
    return text + "end codes\nend remote\n";
}

/// Keys with different values: lirc takes the first of two equal ones.
std::vector<IrFrame> some_keys(Protocol protocol, Random& random, std::size_t count) {
    std::map<std::uint32_t, IrFrame> keys;
    while (keys.size() < count) {
        IrFrame frame = random_frame(protocol, random);
        keys[engine::ir_code(frame)] = frame;
    }
    std::vector<IrFrame> result;
    for (const auto& [code, frame] : keys) result.push_back(frame);
    return result;
}

/// Where lirc keeps its plugins; nothing when lirc is not there.
std::optional<std::string> lirc_plugins() {
    if (!is_in_path("irsimsend") || !is_in_path("irsimreceive")) return std::nullopt;
    if (const char* const stated = std::getenv("FETTLE_LIRC_PLUGINS")) return stated;
    const char* const root = std::getenv("FETTLE_LIRC_ROOT");
    const fs::path libraries = fs::path(root != nullptr ? root : "/") / "usr/lib";
    std::error_code ignored;
    for (const auto& entry : fs::directory_iterator(libraries, ignored)) {
        if (fs::exists(entry.path() / "lirc/plugins")) return (entry.path() / "lirc/plugins").string();
    }
    return std::nullopt;
}

constexpr const char* k_lirc_skipped =
    "SKIPPED: irsimsend and irsimreceive (Debian package lirc) are not there";
}  // namespace

TEST_CASE(
    "infrared: 10 random keys of 9 remotes, sent twice by irsimsend during the test, decode as they were "
    "sent") {
    const auto plugins = lirc_plugins();
    if (!plugins) {
        MESSAGE(k_lirc_skipped);
        return;
    }
    Random random(20260721);
    for (const auto& remote : remotes()) {
        CAPTURE(name_of(remote.protocol));
        const Folder folder;
        const auto keys = some_keys(remote.protocol, random, 10);
        for (std::size_t i = 0; i < keys.size(); ++i) {
            CAPTURE(keys[i]);
            folder.write("remote.conf", describe(remote, {keys[i]}));
            const auto output = run_in(folder, "irsimsend -U '" + *plugins + "' -c 2 -k K0 remote.conf");
            CAPTURE(output.text);
            const auto widths = sim::parse_pulse_text(folder.read("simsend.out"));
            REQUIRE(widths.has_value());
            auto frames = sim::decode_widths(*widths);
            CAPTURE(text_of(frames));
            // A remote with min_repeat sends each key at least three times.
            REQUIRE(frames.size() >= 2);
            const bool is_nec_family = remote.protocol == Protocol::nec || remote.protocol == Protocol::necx;
            for (std::size_t j = 0; j < frames.size(); ++j) {
                IrFrame expected = keys[i];
                if (j > 0 && is_nec_family) expected = frame_of(Protocol::nec, 0, 0);
                expected.repeat = j > 0 && (is_nec_family || remote.protocol == Protocol::jvc);
                expected.toggle = frames[j].toggle;  // lirc has its own idea of toggles
                CHECK(frames[j] == expected);
            }
        }
    }
}

TEST_CASE("infrared: irsimreceive recognises 10 random keys of 9 remotes from the widths of our encoder") {
    const auto plugins = lirc_plugins();
    if (!plugins) {
        MESSAGE(k_lirc_skipped);
        return;
    }
    Random random(20260722);
    for (const auto& remote : remotes()) {
        CAPTURE(name_of(remote.protocol));
        const Folder folder;
        const auto keys = some_keys(remote.protocol, random, 10);
        folder.write("remote.conf", describe(remote, keys));
        std::string input = "space 200000\n";
        std::string expected;
        for (std::size_t i = 0; i < keys.size(); ++i) {
            IrFrame sent = keys[i];
            if (sent.toggle != engine::k_no_toggle) sent.toggle = 0;
            auto widths = held(sent, 1);
            widths.back() = 200000;
            input += sim::format_pulse_text(sim::to_pulse_widths(widths));
            expected += " 00 " + key_name(i) + " R\n";
        }
        folder.write("in.txt", input);
        const auto output = run_in(folder, "irsimreceive -U '" + *plugins + "' remote.conf in.txt");
        // A line: the value in 16 hex digits, how often it was repeated, key, remote.
        std::string seen;
        std::istringstream lines(output.text);
        for (std::string line; std::getline(lines, line);)
            seen += line.substr(std::min<std::size_t>(16, line.size())) + '\n';
        CHECK(seen == expected);
    }
}
