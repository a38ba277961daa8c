// A program that is the device on the cable, for tests that are scripts: obeys lines of its standard input
// until `end` or the input's end, and answers each with one line.
//
//   plug | pull              answer: plugged NODE SERIAL_NODE | pulled, when all nodes are there or none is
//   remote ADDRESS COMMAND MS    holds a button of a NEC remote; answer: pressed, when it is up again
//   switch LINE MS           closes a switch; answer: pressed, when it is open again
//   end

#include <chrono>
#include <cstdint>
#include <iostream>
#include <sstream>
#include <string>
#include <thread>

#include "tests/rig_kernel/cable.hpp"

namespace {

using fettle::rig::Cable;

std::string plug(Cable& cable) {
    if (!cable.plug_and_wait()) return "failed: the nodes do not come";
    const auto nodes = cable.nodes();
    return "plugged " + nodes.raw + " " + nodes.serial;
}

std::string pull(Cable& cable) {
    return cable.pull_and_wait() ? "pulled" : "failed: the nodes do not go";
}

/// In the device's own time, which the computer's clock is mapped to: it is not hurried.
void await_quiet(Cable& cable) {
    bool is_quiet = false;
    while (!is_quiet) {
        std::this_thread::sleep_for(std::chrono::milliseconds(1));
        cable.with([&](fettle::sim::SimDevice& device) { is_quiet = device.hands().is_quiet(); });
    }
}

std::string press_remote(Cable& cable, std::istream& in) {
    std::uint16_t address = 0, command = 0;
    std::uint32_t hold_ms = 0;
    if (!(in >> address >> command >> hold_ms)) return "failed: remote ADDRESS COMMAND MS";
    fettle::engine::IrFrame button{};
    set_ir_frame(button, fettle::engine::Protocol::nec, address, command);
    cable.with([&](fettle::sim::SimDevice& device) {
        device.hands().press_remote(button, device.now_us() + 1000, hold_ms);
    });
    await_quiet(cable);
    return "pressed";
}

std::string press_switch(Cable& cable, std::istream& in) {
    unsigned line = 0;
    std::uint32_t hold_ms = 0;
    if (!(in >> line >> hold_ms)) return "failed: switch LINE MS";
    cable.with([&](fettle::sim::SimDevice& device) {
        device.hands().press_switch(static_cast<std::uint8_t>(line), device.now_us() + 1000, hold_ms);
    });
    await_quiet(cable);
    return "pressed";
}

std::string obey(Cable& cable, const std::string& line) {
    std::istringstream in(line);
    std::string order;
    in >> order;
    if (order == "plug") return plug(cable);
    if (order == "pull") return pull(cable);
    if (order == "remote") return press_remote(cable, in);
    if (order == "switch") return press_switch(cable, in);
    return "failed: no such order: " + order;
}

}  // namespace

int main(int argc, char** argv) {
    fettle::sim::SimOptions options;
    if (argc > 1) options.serial = argv[1];
    Cable cable({0, options, nullptr});
    std::string line;
    while (std::getline(std::cin, line) && line != "end") std::cout << obey(cable, line) << std::endl;
}
