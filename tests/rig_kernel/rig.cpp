#include "tests/rig_kernel/rig.hpp"

#include <doctest/doctest.h>

#include <fcntl.h>
#include <linux/input.h>
#include <poll.h>
#include <signal.h>
#include <spawn.h>
#include <sys/ioctl.h>
#include <sys/wait.h>
#include <unistd.h>

#include "core/link/framed_link.hpp"
#include "core/link/ports.hpp"

extern char** environ;

namespace fettle::rig {

using link::Session;

const Clock& real_clock() {
    static const SystemClock clock;
    return clock;
}

std::int64_t now_ms() {
    return real_clock().monotonic_us() / 1000;
}

bool becomes(Cable& cable, const std::function<bool(sim::SimDevice&)>& so) {
    const auto end_ms = now_ms() + 5000;
    for (bool is_so = false; now_ms() < end_ms;) {
        cable.with([&](sim::SimDevice& device) { is_so = so(device); });
        if (is_so) return true;
        cable.pass_ms(1);
    }
    return false;
}

void settle(Cable& cable, std::uint32_t ms) {
    cable.pass_ms(ms);
    const auto end_ms = now_ms() + 5000;
    bool is_read_up = false;
    while (!is_read_up && now_ms() < end_ms) {
        cable.pass_ms(1);
        cable.with_usb([&](UsbDevice& usb) { is_read_up = usb.is_read_up(); });
    }
    REQUIRE(is_read_up);
}

void await_ready(Cable& cable) {
    REQUIRE(becomes(cable, [](sim::SimDevice& device) { return device.device().is_ready(); }));
}

Cable& fresh_cable(const sim::SimOptions& device) {
    static Cable cable({0, device, &test::kept_eeprom()});
    cable.decide_by({});
    cable.bend_by({});
    cable.set_instant(false);
    cable.hold_time(false);
    cable.with_usb([](UsbDevice& usb) { usb.set_foreign(false); });
    // The computer knows the serial number that it read when the device came.
    const bool is_known = sysfs_line("/sys/bus/usb/devices/" + cable.place() + "/serial") == device.serial;
    if (!is_known || !cable.nodes().are_all_there()) REQUIRE(cable.pull_and_wait());
    cable.exchange_device({0, device, &test::kept_eeprom()});
    REQUIRE(cable.plug_and_wait());
    await_ready(cable);
    return cable;
}

std::unique_ptr<Cable> another_cable(int port, const sim::SimOptions& device) {
    auto cable = std::make_unique<Cable>(CableOptions{port, device, &test::kept_eeprom()});
    REQUIRE(cable->plug_and_wait());
    await_ready(*cable);
    return cable;
}

std::unique_ptr<link::Link> open_hid(Cable& cable) {
    auto port = link::open_hid_port(cable.nodes().raw, real_clock());
    REQUIRE(port.has_value());
    return std::make_unique<link::HidLink>(std::move(*port));
}

std::unique_ptr<link::Link> open_serial(Cable& cable) {
    auto port = link::open_serial_port(cable.nodes().serial, real_clock());
    REQUIRE(port.has_value());
    return std::make_unique<link::SerialLink>(std::move(*port));
}

std::unique_ptr<Session> hid_session(Cable& cable, const link::Limits& limits) {
    auto session = Session::open(open_hid(cable), limits);
    REQUIRE(session.has_value());
    return std::move(*session);
}

std::unique_ptr<Session> serial_session(Cable& cable, const link::Limits& limits) {
    auto session = Session::open(open_serial(cable), limits);
    REQUIRE(session.has_value());
    return std::move(*session);
}

std::optional<link::Attached> attached_at(const std::string& place) {
    const auto sight = link::scan_kernel();
    if (!sight) return std::nullopt;
    for (const link::Attached& each : sight->devices)
        if (each.place == place) return each;
    return std::nullopt;
}

// --- input devices

Grabbed::Grabbed(const Nodes& nodes) {
    const std::string* paths[3] = {&nodes.keyboard_event, &nodes.pointer_event, &nodes.consumer_event};
    for (std::size_t i = 0; i < 3; ++i) {
        files_[i] = open(paths[i]->c_str(), O_RDWR | O_NONBLOCK | O_CLOEXEC);
        REQUIRE(files_[i] >= 0);
        // Nobody else: the guest's own console would act on what is typed.
        REQUIRE(ioctl(files_[i], EVIOCGRAB, 1) == 0);
    }
}

Grabbed::~Grabbed() {
    for (const int file : files_) close(file);
}

std::vector<Grabbed::Seen> Grabbed::take(Which which) const {
    constexpr int k_kernels_repeat = 2;
    std::vector<Seen> seen;
    input_event event{};
    while (read(files_[which], &event, sizeof event) == sizeof event) {
        if (event.type == EV_MSC || (event.type == EV_SYN && event.code != SYN_DROPPED)) continue;
        if (event.type == EV_KEY && event.value == k_kernels_repeat) continue;
        seen.push_back({event.type, event.code, event.value,
                        event.input_event_sec * std::int64_t{1000000} + event.input_event_usec});
    }
    return seen;
}

std::vector<Grabbed::Seen> Grabbed::wait(Which which, std::size_t at_least) const {
    std::vector<Seen> seen;
    pollfd waits{files_[which], POLLIN, 0};
    do {
        const auto more = take(which);
        seen.insert(seen.end(), more.begin(), more.end());
    } while (seen.size() < at_least && poll(&waits, 1, 5000) > 0);
    return seen;
}

bool Grabbed::is_down(Which which, unsigned code) const {
    std::uint8_t bits[KEY_CNT / 8] = {};
    REQUIRE(ioctl(files_[which], EVIOCGKEY(sizeof bits), bits) >= 0);
    return (bits[code / 8] >> code % 8 & 1) != 0;
}

void Grabbed::set_led(unsigned led, bool is_on) const {
    input_event event{};
    event.type = EV_LED;
    event.code = static_cast<std::uint16_t>(led);
    event.value = is_on ? 1 : 0;
    REQUIRE(write(files_[keyboard], &event, sizeof event) == sizeof event);
}

// --- other processes

Other::Other(const std::string& role, const std::vector<std::string>& arguments) {
    int ends[2];
    REQUIRE(pipe2(ends, O_CLOEXEC) == 0);
    std::vector<std::string> words = {"/proc/self/exe", "--as", role};
    words.insert(words.end(), arguments.begin(), arguments.end());
    std::vector<char*> pointers;
    for (std::string& word : words) pointers.push_back(word.data());
    pointers.push_back(nullptr);
    posix_spawn_file_actions_t actions;
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_adddup2(&actions, ends[1], 1);
    REQUIRE(posix_spawn(&pid_, words[0].c_str(), &actions, nullptr, pointers.data(), environ) == 0);
    posix_spawn_file_actions_destroy(&actions);
    close(ends[1]);
    out_ = ends[0];
}

Other::~Other() {
    kill();
    close(out_);
}

std::string Other::line() {
    std::string text;
    char c = 0;
    while (read(out_, &c, 1) == 1 && c != '\n') text += c;
    return text;
}

void Other::kill() {
    if (pid_ < 0) return;
    ::kill(pid_, SIGKILL);
    int status = 0;
    waitpid(pid_, &status, 0);
    pid_ = -1;
}

}  // namespace fettle::rig
