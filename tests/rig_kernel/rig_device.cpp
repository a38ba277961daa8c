// A device with an erased storage, plugged into this machine's own kernel until SIGTERM. SIGUSR1 pulls the
// cable, SIGUSR2 plugs it in again.
// usage: rig_device [SOCKET [SERIAL]]      SOCKET 0 to 7, SERIAL up to 8 characters
// Says "plugged PLACE NODE SERIAL_PORT" and "pulled PLACE". On its input, a line each: press LINE MS; close
// LINE; open LINE; axis NUMBER PERMILLE.

#include <poll.h>
#include <signal.h>
#include <sys/signalfd.h>
#include <unistd.h>

#include <cstdio>
#include <cstdlib>
#include <sstream>
#include <string>

#include "tests/rig_kernel/cable.hpp"

namespace {

using fettle::rig::Cable;

constexpr int k_sockets = 8;

bool plug(Cable& cable) {
    if (!cable.plug_and_wait()) {
        std::puts("the kernel did not take the device");
        return false;
    }
    const auto nodes = cable.nodes();
    std::printf("plugged %s %s %s\n", cable.place().c_str(), nodes.raw.c_str(), nodes.serial.c_str());
    return true;
}

void obey(Cable& cable, const std::string& line) {
    std::istringstream words(line);
    std::string order;
    int number = 0, value = 0;
    words >> order >> number;
    const bool is_line = number >= 1 && number <= fettle::engine::k_switch_lines;
    const bool has_value = static_cast<bool>(words >> value);
    bool is_done = false;
    cable.with([&](fettle::sim::SimDevice& device) {
        auto& hands = device.hands();
        const auto soon_us = device.now_us() + 1000;
        const auto switch_line = static_cast<std::uint8_t>(number);
        is_done = true;
        if (order == "press" && is_line && has_value && value > 0)
            hands.press_switch(switch_line, soon_us, static_cast<std::uint32_t>(value));
        else if (order == "close" && is_line)
            hands.close_switch(switch_line, soon_us);
        else if (order == "open" && is_line)
            hands.open_switch(switch_line, soon_us);
        else if (order == "axis" && has_value && number >= 0 && number < fettle::engine::k_axes)
            hands.set_axis(switch_line, soon_us, static_cast<std::int16_t>(value));
        else
            is_done = false;
    });
    std::printf("%s: %s\n", is_done ? "done" : "not understood", line.c_str());
}

/// Whole lines of what came; the rest waits in `text`.
void obey_lines(Cable& cable, std::string& text) {
    for (std::size_t end = text.find('\n'); end != std::string::npos; end = text.find('\n')) {
        obey(cable, text.substr(0, end));
        text.erase(0, end + 1);
    }
}

int stay(Cable& cable, int signals) {
    pollfd waits[2] = {{signals, POLLIN, 0}, {STDIN_FILENO, POLLIN, 0}};
    std::string text;
    for (;;) {
        if (poll(waits, 2, -1) < 0) continue;
        if (waits[1].revents != 0) {
            char bytes[256];
            const ssize_t got = read(STDIN_FILENO, bytes, sizeof bytes);
            if (got <= 0) waits[1].fd = -1;
            if (got > 0) text.append(bytes, static_cast<std::size_t>(got));
            obey_lines(cable, text);
        }
        signalfd_siginfo told{};
        if (waits[0].revents == 0 || read(signals, &told, sizeof told) != sizeof told) continue;
        if (told.ssi_signo == SIGTERM) return 0;
        if (told.ssi_signo == SIGUSR1 && cable.pull_and_wait())
            std::printf("pulled %s\n", cable.place().c_str());
        if (told.ssi_signo == SIGUSR2) plug(cable);
    }
}

}  // namespace

int main(int argc, char** argv) {
    setvbuf(stdout, nullptr, _IOLBF, 0);
    fettle::rig::CableOptions options;
    if (argc > 1) options.port = std::atoi(argv[1]);
    if (argc > 2) options.device.serial = argv[2];
    const bool is_known = options.port >= 0 && options.port < k_sockets && argc <= 3;
    if (!is_known || fettle::rig::place_of_port(options.port).empty()) {
        std::fputs("usage: rig_device [SOCKET [SERIAL]], in a guest with vhci-hcd\n", stderr);
        return 2;
    }
    // Before there is a second thread: it inherits the mask.
    sigset_t set;
    sigemptyset(&set);
    for (const int number : {SIGTERM, SIGUSR1, SIGUSR2}) sigaddset(&set, number);
    sigprocmask(SIG_BLOCK, &set, nullptr);
    const int signals = signalfd(-1, &set, SFD_CLOEXEC);
    Cable cable(options);
    return plug(cable) ? stay(cable, signals) : 1;
}
